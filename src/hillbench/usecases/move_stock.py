"""Enter what came into the drawer, and what was counted in it."""

from __future__ import annotations

import re
from datetime import datetime
from decimal import Decimal
from typing import Final

from hillbench.errors import InvalidInput, Problem
from hillbench.records import about_store, drawer_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.drawer_entities import DrawerItem
from hillbench.records.names import clean_note

_CODE: Final = re.compile(r"[A-Z]{3}")
_PRICE: Final = re.compile(r"\d{1,9}(?:[.,]\d{1,4})?")


def buy_stock(
    book: BenchBook,
    item_id: int,
    amount: float,
    now: datetime,
    *,
    unit_price: Decimal | None = None,
    note: str = "",
) -> DrawerItem:
    """Add what was bought to an item; a price given becomes the item's.

    Parameters
    ----------
    amount
        How much, in the unit of the item.
    unit_price
        Price of one unit; None to leave it.

    Raises
    ------
    InvalidInput
        If it is no amount of that unit.
    """
    note = clean_note(note)
    with book.write() as session:
        drawer_store.buy(session, item_id, amount, now, unit_price=unit_price, note=note)
        return drawer_store.find_item(session, item_id)


def count_drawer(
    book: BenchBook, item_id: int, amount: float, now: datetime, *, note: str = ""
) -> DrawerItem:
    """Note how much of an item was counted.

    Parameters
    ----------
    amount
        How much there is, in the unit of the item.

    Raises
    ------
    InvalidInput
        If it is no amount of that unit.
    """
    note = clean_note(note)
    with book.write() as session:
        drawer_store.count_stock(session, item_id, amount, now, note=note)
        return drawer_store.find_item(session, item_id)


def take_out(
    book: BenchBook, item_id: int, amount: float, now: datetime, *, note: str = ""
) -> DrawerItem:
    """Take an amount out of the drawer for something that is no build.

    Parameters
    ----------
    amount
        How much, in the unit of the item.

    Raises
    ------
    InvalidInput
        If there is not that much.
    """
    note = clean_note(note)
    with book.write() as session:
        drawer_store.draw(session, item_id, amount, now, note=note)
        return drawer_store.find_item(session, item_id)


def choose_currency(book: BenchBook, code: str) -> None:
    """Take another currency for every price; the numbers stay.

    Parameters
    ----------
    code
        Its code of ISO 4217: three letters.

    Raises
    ------
    InvalidInput
        If it is no such code.
    """
    code = code.strip().upper()
    if not _CODE.fullmatch(code):
        allowed = "a code of three letters such as EUR, USD or GBP"
        raise InvalidInput([Problem("currency", repr(code), allowed)])
    with book.write() as session:
        about_store.choose_currency(session, code)


def read_price(text: str, where: str = "unit_price") -> Decimal | None:
    """Return a typed price, exact; None where nothing was typed.

    Parameters
    ----------
    text
        As typed, with a point or a comma: ``0,35``.
    where
        Name of the field.

    Raises
    ------
    InvalidInput
        If it is no price.
    """
    text = text.strip()
    if not text:
        return None
    if not _PRICE.fullmatch(text):
        allowed = "a price such as 0.35, with up to four decimals"
        raise InvalidInput([Problem(where, repr(text), allowed)])
    return Decimal(text.replace(",", "."))
