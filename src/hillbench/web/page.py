"""What every page shares: the frame around it and how it is turned into HTML."""

from __future__ import annotations

import re
from dataclasses import dataclass, fields
from typing import ClassVar, Final

from starlette.requests import Request

from hillbench.web.bench_holder import BenchHolder
from hillbench.web.flash import Flash, waiting_flash
from hillbench.web.preferences import COOKIE, Preferences
from hillbench.web.showing import Showing
from hillbench.web.templating import environment
from hillbench.web.visitor import visitor_of


@dataclass(frozen=True, slots=True)
class Place:
    """One entry of the navigation.

    Attributes
    ----------
    key
        As pages name it in `Page.place`; also the id of its icon.
    label
        On screen.
    address
        Where it leads.
    """

    key: str
    label: str
    address: str


PLACES: Final = (
    Place("bench", "Bench", "/"),
    Place("cars", "Cars", "/cars"),
    Place("tracks", "Tracks", "/tracks"),
    Place("clock", "Clock", "/clock"),
    Place("drawer", "Drawer", "/drawer"),
    Place("meets", "Meets", "/meets"),
)
"""The navigation, in order; only places that are built."""


_NOT_HTML: Final = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]"
)
"""What may be typed but not stand in a page; shown as a replacement character."""


class Page:
    """Base of the template contexts: one frozen dataclass for each page.

    Attributes
    ----------
    template
        File below ``templates``.
    place
        Key of the place in the navigation it belongs to; empty for none.
    """

    template: ClassVar[str]
    place: ClassVar[str] = ""


@dataclass(frozen=True, slots=True)
class Shell:
    """What every template sees as ``shell``.

    Attributes
    ----------
    place
        Key of the place the page belongs to.
    places
        The navigation.
    path
        Path of the page, without its query.
    preferences
        Of this device.
    show
        Writes quantities in the preferred units.
    flash
        What was just done, to be told once; None when nothing was.
    demo
        Whether the open bench book is the invented one.
    can_open_own, can_open_demo
        Whether the app can change to that bench book.
    fragment
        Whether only a part of the page is made, which htmx will put into it.
    guest
        Whether the reader is on another device that may not use all places.
    """

    place: str
    places: tuple[Place, ...]
    path: str
    preferences: Preferences
    show: Showing
    flash: Flash | None
    demo: bool
    can_open_own: bool
    can_open_demo: bool
    fragment: bool
    guest: bool


def preferences_of(request: Request) -> Preferences:
    """Return the preferences of the device that sent the request."""
    return Preferences.from_cookie(request.cookies.get(COOKIE, ""))


def render(request: Request, page: Page, template: str = "", flash: Flash | None = None) -> str:
    """Return the HTML of a page, or of a part of it.

    Parameters
    ----------
    request
        The request that is being answered.
    page
        The page; a dataclass.
    template
        Template of the part, which sees the same as the page; the whole page by default.
    flash
        What was just done; by default what the request before left to be told.
    """
    context = {field.name: getattr(page, field.name) for field in fields(page)}  # type: ignore[arg-type]
    context["shell"] = _shell(request, page, flash, fragment=bool(template))
    html = environment().get_template(template or page.template).render(context)
    return _NOT_HTML.sub("\N{REPLACEMENT CHARACTER}", html)


def _shell(request: Request, page: Page, flash: Flash | None, *, fragment: bool) -> Shell:
    holder: BenchHolder = request.app.state.bench
    preferences = preferences_of(request)
    guest = not visitor_of(request).whole_bench
    return Shell(
        place=page.place,
        places=() if guest else PLACES,
        path=request.url.path,
        preferences=preferences,
        show=Showing(preferences),
        flash=flash or waiting_flash(request),
        demo=holder.which == "demo",
        can_open_own=holder.can_open("own"),
        can_open_demo=holder.can_open("demo"),
        fragment=fragment,
        guest=guest,
    )
