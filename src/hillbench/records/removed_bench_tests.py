"""Tests at the bench that were removed, each told in words so that it can be recognised."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session

from hillbench.records.bench_test_tables import (
    BenchTest,
    CoastOutRow,
    RollTestRow,
    RubCheckRow,
    SpinDownRow,
)
from hillbench.records.entities import Kind, RemovedThing
from hillbench.records.tables import CarRow

RowT = TypeVar("RowT", bound=BenchTest)


def removed_bench_tests(session: Session) -> Iterator[RemovedThing]:
    """Yield every test that was removed."""
    for spin, car in _removed(session, SpinDownRow):
        told = f"{spin.wheel} wheel, {spin.lubricant}, {_count(len(spin.stop_times_s), 'spin')}"
        yield _thing(Kind.SPIN_DOWN, spin, f"{car}: {told}")
    for roll, car in _removed(session, RollTestRow):
        yield _thing(
            Kind.ROLL_TEST, roll, f"{car}: {_count(len(roll.rolls), 'roll')} over the floor"
        )
    for coast, car in _removed(session, CoastOutRow):
        mean_m = sum(coast.distances_m) / len(coast.distances_m)
        yield _thing(Kind.COAST_OUT, coast, f"{car}: coasted {mean_m:.2f} m")
    for check, car in _removed(session, RubCheckRow):
        yield _thing(
            Kind.RUB_CHECK, check, f"{car}: {_count(len(check.answers), 'place')} looked at"
        )


def _removed(session: Session, table: type[RowT]) -> Iterator[tuple[RowT, str]]:
    query = select(table, CarRow.name).join(CarRow, CarRow.id == table.car_id)
    yield from session.execute(query.where(table.removed_at.is_not(None)))


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _thing(kind: Kind, row: BenchTest, title: str) -> RemovedThing:
    if row.removed_at is None:
        raise ValueError("only what was removed is told here")
    return RemovedThing(kind=kind, id=row.id, title=title, removed_at=row.removed_at)
