"""List what is in the drawer, and what it is worth."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from hillbench.records import about_store, build_store, drawer_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.drawer_entities import DrawerItem, ItemKind, StockMove


@dataclass(frozen=True, slots=True)
class Drawer:
    """What is in the drawer.

    Attributes
    ----------
    items
        By name.
    currency
        Of every price, by its code.
    worth
        Of all stock that has a price.
    """

    items: tuple[DrawerItem, ...]
    currency: str
    worth: Decimal

    def of_kind(self, kind: ItemKind) -> tuple[DrawerItem, ...]:
        """Return the items of one kind."""
        return tuple(item for item in self.items if item.kind is kind)

    def running_low(self) -> tuple[DrawerItem, ...]:
        """Return the items of which more is to be bought."""
        return tuple(item for item in self.items if item.runs_low)


@dataclass(frozen=True, slots=True)
class ShownMove:
    """One line of an item's journal.

    Attributes
    ----------
    move
        What happened.
    stock
        How much there was afterwards.
    build_id
        The build it was for; None for none.
    build_name
        Its name; empty for none.
    """

    move: StockMove
    stock: float
    build_id: int | None
    build_name: str


@dataclass(frozen=True, slots=True)
class ShownItem:
    """One item with its journal.

    Attributes
    ----------
    item
        The item.
    moves
        Its journal, latest first.
    currency
        Of its prices.
    """

    item: DrawerItem
    moves: tuple[ShownMove, ...]
    currency: str


def list_drawer(book: BenchBook) -> Drawer:
    """Return every item in use."""
    with book.read() as session:
        items = drawer_store.list_items(session)
        return Drawer(items, about_store.currency(session), worth_of(items))


def show_item(book: BenchBook, item_id: int) -> ShownItem:
    """Return one item, removed or not, with its journal.

    Raises
    ------
    NotFound
        If there is no such item.
    """
    with book.read() as session:
        item = drawer_store.find_item(session, item_id)
        moves = drawer_store.list_moves(session, item_id)
        shown, stock = [], item.stock
        for move in moves:
            build = None
            if move.build_step_id is not None:
                step = build_store.find_step(session, move.build_step_id)
                build = build_store.find_build(session, step.build_id)
            name, build_id = ("", None) if build is None else (build.name, build.id)
            shown.append(ShownMove(move, stock, build_id, name))
            stock = round(stock - move.amount, 3)
        return ShownItem(item, tuple(shown), about_store.currency(session))


def worth_of(items: Iterable[DrawerItem]) -> Decimal:
    """Return what the stock of items is worth; what has no price counts nothing.

    Parameters
    ----------
    items
        Any items.
    """
    priced = (
        item.unit_price * Decimal(str(item.stock)) for item in items if item.unit_price is not None
    )
    return sum(priced, Decimal(0)).quantize(Decimal("0.01"))
