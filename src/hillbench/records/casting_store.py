"""Castings in the bench book."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from hillbench.records.entities import CastingRecord
from hillbench.records.names import name_key
from hillbench.records.removal import find_row, give_name, in_use
from hillbench.records.tables import CastingRow


def add_casting(session: Session, name: str, note: str, now: datetime) -> CastingRecord:
    """Add a casting; its name must be free."""
    row = CastingRow(created_at=now)
    give_name(session, row, name, note, now)
    session.add(row)
    session.flush()
    return _record(row)


def change_casting(
    session: Session, casting_id: int, name: str, note: str, now: datetime
) -> CastingRecord:
    """Give a casting another name or note."""
    row = find_row(session, CastingRow, casting_id)
    give_name(session, row, name, note, now)
    return _record(row)


def find_casting(session: Session, casting_id: int) -> CastingRecord:
    """Return one casting, removed or not; raise `NotFound` if there is none."""
    return _record(find_row(session, CastingRow, casting_id))


def find_casting_named(session: Session, name: str) -> CastingRecord | None:
    """Return the casting in use with a name, whatever its upper and lower case."""
    query = select(CastingRow).where(
        CastingRow.name_key == name_key(name), CastingRow.removed_at.is_(None)
    )
    row = session.scalars(query).first()
    return None if row is None else _record(row)


def list_castings(session: Session, *, include_removed: bool = False) -> tuple[CastingRecord, ...]:
    """Return the castings by name."""
    query = select(CastingRow).order_by(CastingRow.name_key, CastingRow.id)
    query = in_use(query, CastingRow, include_removed=include_removed)
    return tuple(_record(row) for row in session.scalars(query))


def _record(row: CastingRow) -> CastingRecord:
    return CastingRecord(row.id, row.name, row.note, row.created_at, row.changed_at, row.removed_at)
