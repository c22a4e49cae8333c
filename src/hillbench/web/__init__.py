"""The app in the browser: pages for the bench and the hill, working offline.

How to add a page
-----------------
1. A router in a module of its own (``web/tracks.py``), included in ``app.ROUTERS``. Routes
   are plain ``def``; they take `Book` (the open bench book), `Units` (the reader's
   preferences), `Now` and, for a POST, `Form`, all from ``web/asking.py``. `Answers` in
   ``web/typed.py`` reads a form and keeps it as typed; ``web/settings.py`` is a short example.
2. A frozen dataclass derived from `Page` (``web/page.py``) that documents all its template
   sees: ``template = "tracks/list.html"``, ``place = "tracks"``. Every field must be used by
   the template or by what it includes, and nothing else is there but ``shell``
   (``shell.show.mass(37.2)``, ``shell.preferences``); a test compares the two.
3. A template that extends ``base.html`` and fills ``title``, ``band`` and ``main``. Forms are
   built with ``macros/forms.html``, quantities with ``macros/figures.html``.
4. Answer through ``web/answer.py``: `show` a page or a part of it, `done` after a change
   (303, or with htmx the changed part), `refuse` when something typed is wrong (422, with
   all that was typed). Routes never look at the htmx header themselves.
5. No inline style or script: classes go to a style sheet under ``assets/css`` (a page may
   add its own in the ``styles`` block), behaviour to ``assets/js/hillbench.js``.
"""
