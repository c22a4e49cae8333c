"""Cars in the bench book."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from hillbench.errors import InvalidInput, Problem
from hillbench.records.entities import CarRecord
from hillbench.records.removal import find_row, give_name, in_use
from hillbench.records.tables import CarRow, CastingRow


def add_car(session: Session, casting_id: int, name: str, note: str, now: datetime) -> CarRecord:
    """Add a car of a casting; its name must be free."""
    row = CarRow(casting=_casting(session, casting_id), created_at=now)
    with session.no_autoflush:  # the row has no name yet
        give_name(session, row, name, note, now)
    session.add(row)
    session.flush()
    return _record(row)


def change_car(
    session: Session, car_id: int, casting_id: int, name: str, note: str, now: datetime
) -> CarRecord:
    """Give a car another casting, name or note."""
    row = find_row(session, CarRow, car_id)
    if casting_id != row.casting_id:
        row.casting = _casting(session, casting_id)
    give_name(session, row, name, note, now)
    session.flush()
    return _record(row)


def touch_car(session: Session, car_id: int, now: datetime) -> None:
    """Note that something about a car changed; raise `NotFound` if there is no such car."""
    find_row(session, CarRow, car_id).changed_at = now


def find_car(session: Session, car_id: int) -> CarRecord:
    """Return one car, removed or not; raise `NotFound` if there is none."""
    return _record(find_row(session, CarRow, car_id))


def list_cars(session: Session, *, include_removed: bool = False) -> tuple[CarRecord, ...]:
    """Return the cars, last changed first."""
    query = select(CarRow).order_by(CarRow.changed_at.desc(), CarRow.id.desc())
    query = in_use(query, CarRow, include_removed=include_removed)
    return tuple(_record(row) for row in session.scalars(query))


def _casting(session: Session, casting_id: int) -> CastingRow:
    row = find_row(session, CastingRow, casting_id)
    if row.removed_at is not None:
        allowed = "a casting that is in use"
        raise InvalidInput(
            [Problem("casting_id", f"{row.name!r}, which was removed", allowed, "restore it first")]
        )
    return row


def _record(row: CarRow) -> CarRecord:
    return CarRecord(
        id=row.id,
        casting_id=row.casting_id,
        casting_name=row.casting.name,
        name=row.name,
        note=row.note,
        created_at=row.created_at,
        changed_at=row.changed_at,
        removed_at=row.removed_at,
    )
