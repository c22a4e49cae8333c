"""The drawer in the exported bench."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Annotated, Any

from pydantic import AwareDatetime, Field

from hillbench.errors import Problem
from hillbench.records.document import Document, Id, Named
from hillbench.records.drawer_entities import ItemKind, MoveKind, StockUnit

Price = Annotated[str, Field(pattern=r"^\d{1,9}(\.\d{1,6})?$")]


class DrawerItem(Named):
    """One kind of thing in the drawer; its stock is the sum of its moves."""

    kind: ItemKind
    """What it is for."""
    unit: StockUnit
    """What its stock is counted in."""
    unit_price: Price | None = None
    """Price of one unit in the currency of the bench, as a decimal text."""
    supplier_note: str
    """Where it comes from; may be empty."""
    reorder_thousandths: Annotated[int, Field(ge=0)] | None = None
    """Stock at or below which more is to be bought, in thousandths of the unit."""
    details: dict[str, Any]
    """What the kind asks for, such as size and mass of a ballast piece."""


class StockMove(Document):
    """One change of the stock of an item."""

    id: Id
    """Its number."""
    item_id: Id
    """The item."""
    kind: MoveKind
    """Why the stock changed."""
    thousandths: int
    """What came in (positive) or went out (negative), in thousandths of the unit."""
    unit_price: Price | None = None
    """Price of one unit when it happened."""
    at: AwareDatetime
    """When it happened."""
    note: str
    """May be empty."""
    build_step_id: Id | None = None
    """The step of a build that drew it or gave it back."""


def check_drawer(items: Sequence[DrawerItem], moves: Sequence[StockMove]) -> Iterator[Problem]:
    """Yield moves of no item, and stock that was below zero at any time.

    Parameters
    ----------
    items
        What is in the drawer.
    moves
        Journal of their stock.
    """
    stock = {item.id: 0 for item in items}
    units = {item.id: item.unit for item in items}
    for index, move in enumerate(sorted(moves, key=lambda move: move.id)):
        where = f"stock_moves[{index}]"
        if move.item_id not in stock:
            yield Problem(f"{where}.item_id", str(move.item_id), "an item of the drawer")
            continue
        if units[move.item_id].is_counted and move.thousandths % 1000:
            seen, allowed = f"{move.thousandths}", "whole units of what is counted"
            yield Problem(f"{where}.thousandths", seen, allowed)
        stock[move.item_id] += move.thousandths
        if stock[move.item_id] < 0:
            yield Problem(f"{where}.thousandths", "more than was there", "stock of 0 or more")
