"""Readings of the quantities of cars; the latest of each counts, all are kept."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from hillbench.records.entities import Reading
from hillbench.records.removal import in_use
from hillbench.records.tables import ReadingRow


def add_reading(
    session: Session,
    car_id: int,
    quantity: str,
    value: float,
    resolution: float | None,
    at: datetime,
    note: str,
) -> Reading:
    """Add a reading of one quantity."""
    row = ReadingRow(
        car_id=car_id, quantity=quantity, value=value, resolution=resolution, at=at, note=note
    )
    session.add(row)
    session.flush()
    return _reading(row)


def list_readings(
    session: Session, car_id: int, *, include_removed: bool = False
) -> tuple[Reading, ...]:
    """Return the readings of a car, latest first."""
    query = (
        select(ReadingRow)
        .where(ReadingRow.car_id == car_id)
        .order_by(ReadingRow.at.desc(), ReadingRow.id.desc())
    )
    query = in_use(query, ReadingRow, include_removed=include_removed)
    return tuple(_reading(row) for row in session.scalars(query))


def current_readings(session: Session, car_id: int) -> dict[str, Reading]:
    """Return the reading that counts for each quantity of a car that was ever read."""
    return current_readings_by_car(session, car_id).get(car_id, {})


def current_readings_by_car(
    session: Session, car_id: int | None = None
) -> dict[int, dict[str, Reading]]:
    """Return the readings that count, by car and quantity, of one car or of all."""
    order = (ReadingRow.at.desc(), ReadingRow.id.desc())
    place = func.row_number().over(
        partition_by=(ReadingRow.car_id, ReadingRow.quantity), order_by=order
    )
    ranked = select(ReadingRow, place.label("place")).where(ReadingRow.removed_at.is_(None))
    if car_id is not None:
        ranked = ranked.where(ReadingRow.car_id == car_id)
    table = ranked.subquery()
    latest = aliased(ReadingRow, table)
    current: dict[int, dict[str, Reading]] = {}
    for row in session.scalars(select(latest).where(table.c.place == 1)):
        current.setdefault(row.car_id, {})[row.quantity] = _reading(row)
    return current


def _reading(row: ReadingRow) -> Reading:
    return Reading(
        id=row.id,
        car_id=row.car_id,
        quantity=row.quantity,
        value=row.value,
        resolution=row.resolution,
        at=row.at,
        note=row.note,
        removed_at=row.removed_at,
    )
