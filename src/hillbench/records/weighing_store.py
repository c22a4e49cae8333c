"""Weighings of cars."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from hillbench.records.entities import Weighing
from hillbench.records.removal import in_use
from hillbench.records.tables import CarRow, WeighingRow


def add_weighing(
    session: Session,
    car_id: int,
    readings_g: Sequence[float],
    scale_resolution_g: float,
    at: datetime,
    note: str,
) -> Weighing:
    """Add a weighing with all its readings."""
    row = WeighingRow(
        car_id=car_id,
        at=at,
        scale_resolution_g=scale_resolution_g,
        readings_g=list(readings_g),
        note=note,
    )
    session.add(row)
    session.flush()
    return _weighing(row)


def list_weighings(
    session: Session, car_id: int, *, include_removed: bool = False
) -> tuple[Weighing, ...]:
    """Return the weighings of a car, latest first."""
    query = (
        select(WeighingRow)
        .where(WeighingRow.car_id == car_id)
        .order_by(WeighingRow.at.desc(), WeighingRow.id.desc())
    )
    query = in_use(query, WeighingRow, include_removed=include_removed)
    return tuple(_weighing(row) for row in session.scalars(query))


def latest_weighing(session: Session, car_id: int) -> Weighing | None:
    """Return the weighing that counts for a car, None where it was never weighed."""
    query = (
        select(WeighingRow)
        .where(WeighingRow.car_id == car_id, WeighingRow.removed_at.is_(None))
        .order_by(WeighingRow.at.desc(), WeighingRow.id.desc())
        .limit(1)
    )
    row = session.scalars(query).first()
    return None if row is None else _weighing(row)


def latest_weighings(session: Session) -> dict[int, Weighing]:
    """Return the weighing that counts for each car that was ever weighed, by car."""
    inner = aliased(WeighingRow)
    latest = (
        select(inner.id)
        .where(inner.car_id == CarRow.id, inner.removed_at.is_(None))
        .order_by(inner.at.desc(), inner.id.desc())
        .limit(1)
        .scalar_subquery()
    )
    query = select(WeighingRow).join(CarRow, WeighingRow.id == latest)
    return {row.car_id: _weighing(row) for row in session.scalars(query)}


def _weighing(row: WeighingRow) -> Weighing:
    return Weighing(
        id=row.id,
        car_id=row.car_id,
        at=row.at,
        scale_resolution_g=row.scale_resolution_g,
        readings_g=tuple(row.readings_g),
        note=row.note,
        removed_at=row.removed_at,
    )
