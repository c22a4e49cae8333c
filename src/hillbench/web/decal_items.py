"""One item of a livery: a number, a name or art, and where its copies go."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.decals.typeface import FACES
from hillbench.errors import InvalidInput, NotFound
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.show_livery import LiveryView, show_livery
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.decal_item_form import (
    BLANK_PLACE,
    holding_item,
    item_of,
    place_rows,
    refused_item,
)
from hillbench.web.decal_pictures import DrawnItem, draw_typed
from hillbench.web.flash import Flash
from hillbench.web.form_rows import Pairs, Row, act_on_rows, rows_of, with_rows
from hillbench.web.page import Page
from hillbench.web.preferences import Preferences
from hillbench.web.typed import Typed

router = APIRouter()

Options = tuple[tuple[str, str], ...]

WEIGHTS: Options = (("medium", "medium"), ("bold", "bold"), ("black", "black"))
GROUNDS: Options = (("", "none"), ("roundel", "roundel"), ("square", "square, corners round"))


@dataclass(frozen=True)
class DecalItemPage(Page):
    """The form of one item.

    Attributes
    ----------
    view
        Its livery.
    number
        Which item it is, from 0; None for a new one.
    address
        Where the form is sent.
    typed
        The form.
    places
        Rows of its places.
    faces, weights, grounds, arts, panels
        What can be chosen.
    why
        Habits behind suggested places; empty where none were asked for.
    drawn
        The item as printed and cut, with its size in words; None where it cannot be drawn.
    """

    template: ClassVar[str] = "decals/item.html"
    place: ClassVar[str] = "cars"

    view: LiveryView
    number: int | None
    address: str
    typed: Typed
    places: tuple[Row, ...]
    faces: Options
    weights: Options
    grounds: Options
    arts: Options
    panels: Options
    why: tuple[str, ...]
    drawn: DrawnItem | None


@router.post("/decals/{livery_id}/items/preview")
def preview(
    request: Request, book: Book, preferences: Units, form: Form, livery_id: Number
) -> Response:
    """Show the item as it is typed."""
    page = _page(show_livery(book, livery_id), None, Typed("item", pairs(form)), preferences)
    return show(request, page, "decals/item_preview.html")


@router.get("/decals/{livery_id}/items/new")
def show_new_item(
    request: Request, book: Book, preferences: Units, livery_id: Number, kind: str = "number"
) -> Response:
    """Show the form of a new item."""
    view = show_livery(book, livery_id)
    return show(request, _page(view, None, holding_item(None, preferences, kind=kind), preferences))


@router.post("/decals/{livery_id}/items/new")
def add_item(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, livery_id: Number
) -> Response:
    """Add an item."""
    return _keep(request, book, preferences, now, pairs(form), livery_id, None)


@router.get("/decals/{livery_id}/items/{number}")
def show_item(
    request: Request, book: Book, preferences: Units, livery_id: Number, number: Number
) -> Response:
    """Show the form of an item; items are numbered from 1 in addresses."""
    view = show_livery(book, livery_id)
    if number > len(view.question.items):
        raise NotFound("item", number)
    typed = holding_item(view.question.items[number - 1], preferences)
    return show(request, _page(view, number - 1, typed, preferences))


@router.post("/decals/{livery_id}/items/{number}")
def change_item(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    livery_id: Number,
    number: Number,
) -> Response:
    """Keep a changed item."""
    return _keep(request, book, preferences, now, pairs(form), livery_id, number - 1)


@router.post("/decals/{livery_id}/items/{number}/drop")
def drop(request: Request, book: Book, now: Now, livery_id: Number, number: Number) -> Response:
    """Take an item out of the livery."""
    from hillbench.usecases.save_livery import drop_item

    drop_item(book, livery_id, number - 1, now)
    return done(request, f"/decals/{livery_id}", Flash("The item is taken out."))


def _keep(
    request: Request,
    book: BenchBook,
    preferences: Preferences,
    now: Now,
    typed: Pairs,
    livery_id: int,
    number: int | None,
) -> Response:
    from hillbench.usecases.save_livery import keep_item

    view = show_livery(book, livery_id)
    action = Typed("item", typed).value("action")
    changed = act_on_rows(typed, action, {"place": BLANK_PLACE})
    if changed is not None:
        return show(request, _page(view, number, Typed("item", changed), preferences))
    try:
        if action == "suggest":
            return show(request, _suggested(view, number, typed, preferences))
        item = item_of(typed, preferences)
        keep_item(book, livery_id, item, now, number=number)
    except InvalidInput as wrong:
        refused = refused_item(typed, preferences, wrong)
        return refuse(request, _page(view, number, refused, preferences))
    return done(request, f"/decals/{livery_id}", Flash(f"{item.name} is kept."))


def _suggested(
    view: LiveryView, number: int | None, typed: Pairs, preferences: Preferences
) -> DecalItemPage:
    """Return the form with the places that the item takes by habit."""
    from hillbench.usecases.suggest_decals import suggest

    item = dataclasses.replace(item_of(typed, preferences), places=())
    found = suggest(view, item)
    rows = place_rows([one.place for one in found], preferences)
    why = tuple(f"{one.place.panel}: {one.why}" for one in found)
    return _page(view, number, Typed("item", with_rows(typed, "place", rows)), preferences, why)


def _page(
    view: LiveryView,
    number: int | None,
    typed: Typed,
    preferences: Preferences,
    why: tuple[str, ...] = (),
) -> DecalItemPage:
    base = f"/decals/{view.record.id}/items"
    return DecalItemPage(
        view,
        number,
        f"{base}/new" if number is None else f"{base}/{number + 1}",
        typed,
        tuple(rows_of(typed.pairs, "place")),
        tuple((face.key, f"{face.key}: {face.label}") for face in FACES.values()),
        WEIGHTS,
        GROUNDS,
        (("", "no art: text"), *((name, name) for name in view.arts)),
        tuple((panel.name, panel.name) for panel in view.question.panels),
        why,
        draw_typed(view, typed.pairs, preferences),
    )
