"""One item of the drawer: its stock, its journal, what comes in and goes out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.errors import InvalidInput
from hillbench.records.bench_book import BenchBook
from hillbench.records.drawer_entities import DrawerItem
from hillbench.usecases.list_drawer import ShownItem, show_item
from hillbench.usecases.move_stock import buy_stock, count_drawer, read_price, take_out
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.drawer_form import LABELS
from hillbench.web.drawer_words import details_words
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.preferences import Preferences
from hillbench.web.showing import Showing
from hillbench.web.typed import Answers, Typed

router = APIRouter(prefix="/drawer/{item_id}")

Move = Callable[[BenchBook, Answers, float, datetime], DrawerItem]


@dataclass(frozen=True)
class ItemPage(Page):
    """One item.

    Attributes
    ----------
    shown
        The item with its journal.
    words
        Its sizes in words.
    bought, counted, taken
        The forms.
    """

    template: ClassVar[str] = "drawer/item.html"
    place: ClassVar[str] = "drawer"

    shown: ShownItem
    words: str
    bought: Typed
    counted: Typed
    taken: Typed


@router.get("")
def show_one_item(request: Request, book: Book, preferences: Units, item_id: Number) -> Response:
    """Show one item."""
    return show(request, _page(book, item_id, preferences))


@router.post("/bought")
def enter_bought(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, item_id: Number
) -> Response:
    """Add what was bought."""

    def buy(book: BenchBook, answers: Answers, amount: float, now: datetime) -> DrawerItem:
        price = read_price(answers.text("unit_price"))
        note = answers.text("note")
        return buy_stock(book, item_id, amount, now, unit_price=price, note=note)

    answers = Answers("bought", pairs(form), preferences, LABELS)
    return _moved(request, book, preferences, now, item_id, answers, buy)


@router.post("/counted")
def enter_counted(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, item_id: Number
) -> Response:
    """Note how much was counted."""

    def count(book: BenchBook, answers: Answers, amount: float, now: datetime) -> DrawerItem:
        return count_drawer(book, item_id, amount, now, note=answers.text("note"))

    answers = Answers("counted", pairs(form), preferences, LABELS)
    return _moved(request, book, preferences, now, item_id, answers, count)


@router.post("/taken")
def enter_taken(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, item_id: Number
) -> Response:
    """Take some out for something that is no build."""

    def take(book: BenchBook, answers: Answers, amount: float, now: datetime) -> DrawerItem:
        return take_out(book, item_id, amount, now, note=answers.text("note"))

    answers = Answers("taken", pairs(form), preferences, LABELS)
    return _moved(request, book, preferences, now, item_id, answers, take)


def _moved(
    request: Request,
    book: BenchBook,
    preferences: Preferences,
    now: datetime,
    item_id: int,
    answers: Answers,
    move: Move,
) -> Response:
    amount = answers.quantity("amount", units.NUMBER)
    try:
        answers.require()
        item = move(book, answers, amount or 0.0, now)
    except InvalidInput as wrong:
        return refuse(request, _page(book, item_id, preferences, answers.refused(wrong)))
    told = f"There are {item.unit.amount(item.stock)} of {item.name} now."
    if item.stock == 1 or not item.unit.is_counted:
        told = told.replace("There are", "There is", 1)
    return done(request, f"/drawer/{item_id}", Flash(told))


def _page(
    book: BenchBook, item_id: int, preferences: Preferences, typed: Typed | None = None
) -> ItemPage:
    forms = {name: Typed(name) for name in ("bought", "counted", "taken")}
    if typed is not None:
        forms[typed.form] = typed
    shown = show_item(book, item_id)
    words = details_words(shown.item, Showing(preferences))
    return ItemPage(shown, words, forms["bought"], forms["counted"], forms["taken"])
