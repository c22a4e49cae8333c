"""The drawer: what is in it, what it costs, and what runs low."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.ballast.metal import DENSITY_G_CM3
from hillbench.errors import InvalidInput
from hillbench.records.drawer_entities import DrawerItem, ItemKind, StockUnit
from hillbench.usecases.list_drawer import Drawer, list_drawer, show_item
from hillbench.usecases.move_stock import choose_currency
from hillbench.usecases.save_drawer_item import save_drawer_item
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.drawer_form import LABELS, USUAL_UNIT, held_item, read_item
from hillbench.web.drawer_words import details_words
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.preferences import Preferences
from hillbench.web.showing import Showing
from hillbench.web.templating import count
from hillbench.web.typed import Answers, Typed

router = APIRouter()

_CURRENCY: Final = {"currency": "The currency"}


@dataclass(frozen=True, slots=True)
class ItemLine:
    """One item in the list.

    Attributes
    ----------
    item
        The item.
    words
        Its sizes in words.
    """

    item: DrawerItem
    words: str


@dataclass(frozen=True, slots=True)
class KindGroup:
    """Items of one kind.

    Attributes
    ----------
    kind
        The kind.
    title
        Its heading.
    lines
        Its items.
    """

    kind: ItemKind
    title: str
    lines: tuple[ItemLine, ...]


@dataclass(frozen=True)
class DrawerPage(Page):
    """What is in the drawer.

    Attributes
    ----------
    sentence
        What it holds and what runs low, in one sentence.
    groups
        Items by kind.
    low
        Items of which more is to be bought.
    currency
        Of every price.
    worth
        Of all stock that has a price.
    kinds
        Kinds that can be added.
    typed
        The form of the currency.
    """

    template: ClassVar[str] = "drawer/list.html"
    place: ClassVar[str] = "drawer"

    sentence: str
    groups: tuple[KindGroup, ...]
    low: tuple[DrawerItem, ...]
    currency: str
    worth: Decimal
    kinds: tuple[ItemKind, ...]
    typed: Typed


@dataclass(frozen=True)
class EditItemPage(Page):
    """A new item, or one that is changed.

    Attributes
    ----------
    item
        The item that is changed; None for a new one.
    kind
        Its kind.
    kinds
        All kinds, to choose another for a new one.
    units
        Units of stock, as value and word.
    metals
        Metals whose density is known.
    currency
        Of its price.
    typed
        The form.
    """

    template: ClassVar[str] = "drawer/edit.html"
    place: ClassVar[str] = "drawer"

    item: DrawerItem | None
    kind: ItemKind
    kinds: tuple[ItemKind, ...]
    units: tuple[tuple[str, str], ...]
    metals: tuple[str, ...]
    currency: str
    typed: Typed


@router.get("/drawer")
def show_drawer(request: Request, book: Book, preferences: Units) -> Response:
    """Show what is in the drawer."""
    drawer = list_drawer(book)
    typed = Typed.holding("money", {"currency": drawer.currency})
    return show(request, _drawer_page(drawer, preferences, typed))


@router.post("/drawer/currency")
def change_currency(request: Request, book: Book, preferences: Units, form: Form) -> Response:
    """Take another currency."""
    answers = Answers("money", pairs(form), preferences, _CURRENCY)
    try:
        choose_currency(book, answers.text("currency"))
    except InvalidInput as wrong:
        page = _drawer_page(list_drawer(book), preferences, answers.refused(wrong))
        return refuse(request, page)
    return done(request, "/drawer", Flash("Prices are in that currency from now on."))


@router.get("/drawer/new")
def show_new_item(request: Request, book: Book, kind: str = "") -> Response:
    """Show the form of a new item of a kind."""
    chosen = ItemKind(kind) if kind in [*ItemKind] else ItemKind.BALLAST_PIECE
    unit = USUAL_UNIT.get(chosen, StockUnit.PIECE)
    held = {"unit": str(unit), "shape": "box", "head": "pan", "film": "clear"}
    page = _edit_page(None, chosen, list_drawer(book).currency, Typed.holding("item", held))
    return show(request, page)


@router.post("/drawer/new")
def add_item(request: Request, book: Book, preferences: Units, now: Now, form: Form) -> Response:
    """Add an item and show it."""
    answers = Answers("item", pairs(form), preferences, LABELS)
    kind = ItemKind(answers.choice("kind", [str(kind) for kind in ItemKind]))
    try:
        item = save_drawer_item(book, read_item(answers, kind), now)
    except InvalidInput as wrong:
        currency = list_drawer(book).currency
        return refuse(request, _edit_page(None, kind, currency, answers.refused(wrong)))
    told = f"{item.name} has a place in the drawer. Enter how much there is."
    return done(request, f"/drawer/{item.id}#count", Flash(told))


@router.get("/drawer/{item_id}/edit")
def show_edit_item(request: Request, book: Book, preferences: Units, item_id: Number) -> Response:
    """Show the form that changes an item."""
    shown = show_item(book, item_id)
    typed = Typed.holding("item", held_item(shown.item, preferences))
    return show(request, _edit_page(shown.item, shown.item.kind, shown.currency, typed))


@router.post("/drawer/{item_id}/edit")
def change_item(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, item_id: Number
) -> Response:
    """Keep what an item is from now on."""
    shown = show_item(book, item_id)
    answers = Answers("item", pairs(form), preferences, LABELS)
    try:
        entry = read_item(answers, shown.item.kind)
        item = save_drawer_item(book, entry, now, item_id=item_id)
    except InvalidInput as wrong:
        page = _edit_page(shown.item, shown.item.kind, shown.currency, answers.refused(wrong))
        return refuse(request, page)
    return done(request, f"/drawer/{item_id}", Flash(f"{item.name}: the changes are kept."))


def _edit_page(item: DrawerItem | None, kind: ItemKind, currency: str, typed: Typed) -> Page:
    units = tuple((str(unit), str(unit)) for unit in StockUnit)
    return EditItemPage(item, kind, tuple(ItemKind), units, tuple(DENSITY_G_CM3), currency, typed)


def _drawer_page(drawer: Drawer, preferences: Preferences, typed: Typed) -> DrawerPage:
    showing = Showing(preferences)
    groups = tuple(
        KindGroup(
            kind,
            TITLES[kind],
            tuple(ItemLine(item, details_words(item, showing)) for item in drawer.of_kind(kind)),
        )
        for kind in ItemKind
        if drawer.of_kind(kind)
    )
    return DrawerPage(
        _sentence(drawer),
        groups,
        drawer.running_low(),
        drawer.currency,
        drawer.worth,
        tuple(ItemKind),
        typed,
    )


TITLES: Final = {
    ItemKind.BALLAST_PIECE: "Ballast pieces",
    ItemKind.SCREW: "Screws",
    ItemKind.BIT: "Bits",
    ItemKind.LUBRICANT: "Lubricants",
    ItemKind.FILM: "Films",
    ItemKind.WHEEL: "Wheels",
    ItemKind.OTHER: "Other",
}
"""Heading of each kind."""


def _sentence(drawer: Drawer) -> str:
    if not drawer.items:
        return "The drawer is empty."
    low = drawer.running_low()
    held = f"{count(len(drawer.items), 'kind')} of parts and supplies"
    worth = f", worth {drawer.worth} {drawer.currency}" if drawer.worth else ""
    names = "; ".join(item.name for item in low[:3])
    runs = f" Running low: {names}." if low else ""
    return f"{held}{worth}.{runs}"
