"""Removing things of any kind and bringing them back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Final
from urllib.parse import urlencode, urlsplit

from fastapi import APIRouter, Request
from starlette.datastructures import FormData
from starlette.responses import Response

from hillbench.records.entities import Kind, RemovedThing
from hillbench.usecases.list_removed import list_removed
from hillbench.usecases.remove_thing import remove_thing, restore_thing
from hillbench.web.answer import done, show
from hillbench.web.asking import Book, Form, Now, Number
from hillbench.web.flash import Flash
from hillbench.web.page import Page

router = APIRouter()

_ELSEWHERE: Final = "/"


@dataclass(frozen=True)
class RemovedPage(Page):
    """Everything put away.

    Attributes
    ----------
    things
        Last removed first.
    """

    template: ClassVar[str] = "removed.html"

    things: tuple[RemovedThing, ...]


@router.get("/removed")
def show_removed(request: Request, book: Book) -> Response:
    """Show what was removed."""
    return show(request, RemovedPage(list_removed(book)))


@router.post("/remove/{kind}/{thing_id}")
def remove(
    request: Request, book: Book, now: Now, form: Form, kind: Kind, thing_id: Number
) -> Response:
    """Take a thing out of use and offer to bring it back."""
    remove_thing(book, kind, thing_id, now)
    back = _back(request, form)
    undo = f"/undo/{kind}/{thing_id}?{urlencode({'back': back})}"
    return done(request, back, Flash(f"The {kind.word} is removed.", undo))


@router.post("/undo/{kind}/{thing_id}")
def bring_back(request: Request, book: Book, form: Form, kind: Kind, thing_id: Number) -> Response:
    """Bring a removed thing back."""
    restore_thing(book, kind, thing_id)
    return done(request, _back(request, form), Flash(f"The {kind.word} is back."))


@router.post("/undo/put-away/{kind}/{thing_id}")
def undo_entry(
    request: Request, book: Book, now: Now, form: Form, kind: Kind, thing_id: Number
) -> Response:
    """Undo an entry that was just made."""
    return remove(request, book, now, form, kind, thing_id)


def _back(request: Request, form: FormData) -> str:
    """Return the page of this app to go back to: as the form, address or browser says."""
    asked = form.get("back") or request.query_params.get("back")
    if isinstance(asked, str):
        return asked if _is_here(asked) else _ELSEWHERE
    referer = urlsplit(request.headers.get("referer", ""))
    return referer.path if referer.netloc == request.headers["host"] else _ELSEWHERE


def _is_here(address: str) -> bool:
    """Return whether an address is a path of this app, whatever tricks it holds."""
    plain = address.isascii() and address.isprintable() and "\\" not in address
    return plain and address.startswith("/") and not address.startswith("//")
