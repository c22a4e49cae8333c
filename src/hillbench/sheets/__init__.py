"""Printed sheets, true to scale: a neutral drawing in mm and its writers.

How to make a sheet
-------------------
1. Gather what it says in a frozen dataclass of plain values (texts and numbers), so that the
   sheet knows no storage.
2. Draw it: a `Drawing` of `Page` (``page.A4``, ``page.LETTER`` or any `PageSize`), each with
   `Layer` by name (``"print"``, ``"white"``, ``"cut"``), each a tuple of marks from
   ``drawing.py``: `Shape` (a path, filled and stroked; build paths with ``path.Pen`` or take
   ``path.rectangle``, ``path.circle``, ``path.polyline``), `Words`, `Photo`, `Group` (with a
   ``Transform`` and a clip). Coordinates are mm from the upper left corner, y downwards.
3. Colours are sRGB (``Rgb.parse("#0f6a5b")``) or a `Spot` for a knife or a white ink.
4. Words are set in the packaged font: ``font.width_mm`` measures, ``font.wrap`` breaks lines,
   ``font.outline`` gives the letters as a path.
5. ``ruler.ruler_marks`` draws the 100 mm bar and the inch bar that prove the scale of a print;
   ``qr_code.qr_marks`` an address; ``own_picture.picture_group`` one of our SVG pictures.
6. ``svg_writer.write_svg(page, title)`` gives SVG, ``pdf_writer.write_pdf(drawing)`` PDF. Both
   give the same bytes for the same drawing.

Nothing here imports a heavy library before something is written or measured.
"""
