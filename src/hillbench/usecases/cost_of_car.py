"""What the parts of a car cost."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from sqlalchemy.orm import Session

from hillbench.records import about_store, build_store, drawer_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.drawer_entities import StockMove


@dataclass(frozen=True, slots=True)
class CostLine:
    """One thing that went into a car.

    Attributes
    ----------
    item_id
        Its number in the drawer.
    name
        What it is.
    amount
        How much, with its unit, in words.
    cost
        At the prices of the day it was drawn; None where one was not known.
    """

    item_id: int
    name: str
    amount: str
    cost: Decimal | None


@dataclass(frozen=True, slots=True)
class Cost:
    """What went into a car or a build.

    Attributes
    ----------
    lines
        One for each item that was drawn and not given back.
    total
        Of those with a price.
    unpriced
        Names of those without.
    currency
        Of every price.
    """

    lines: tuple[CostLine, ...]
    total: Decimal
    unpriced: tuple[str, ...]
    currency: str


def cost_of_car(book: BenchBook, car_id: int) -> Cost:
    """Return what the builds of a car drew from the drawer, at the prices of the day.

    Raises
    ------
    NotFound
        If there is no such car.
    """
    with book.read() as session:
        builds = build_store.list_builds(session, car_id=car_id)
        return cost_of_builds(session, [build.id for build in builds])


def cost_of_builds(session: Session, build_ids: Iterable[int]) -> Cost:
    """Return what builds drew and did not give back.

    Parameters
    ----------
    session
        An open session.
    build_ids
        Numbers of the builds.
    """
    steps = [
        step.id
        for build_id in build_ids
        for step in build_store.list_steps(session, build_id, include_removed=True)
    ]
    by_item: dict[int, list[StockMove]] = defaultdict(list)
    for move in drawer_store.moves_of_steps(session, steps):
        by_item[move.item_id].append(move)
    lines = [_line(session, item_id, moves) for item_id, moves in by_item.items()]
    kept = tuple(line for line in lines if line is not None)
    known = [line.cost for line in kept if line.cost is not None]
    unpriced = tuple(line.name for line in kept if line.cost is None)
    total = sum(known, Decimal(0)).quantize(Decimal("0.01"))
    return Cost(kept, total, unpriced, about_store.currency(session))


def _line(session: Session, item_id: int, moves: list[StockMove]) -> CostLine | None:
    amount = round(-sum(move.amount for move in moves), 3)
    if amount <= 0.0:
        return None
    item = drawer_store.find_item(session, item_id)
    cost: Decimal | None = None
    if all(move.unit_price is not None for move in moves):
        parts = (-Decimal(str(m.amount)) * m.unit_price for m in moves if m.unit_price is not None)
        cost = sum(parts, Decimal(0)).quantize(Decimal("0.01"))
    return CostLine(item_id, item.name, item.unit.amount(amount), cost)
