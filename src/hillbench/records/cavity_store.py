"""Cavities of castings: measured once, used for every sample."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from hillbench.records.cavity_tables import CavityRow
from hillbench.records.entities import CastingRecord
from hillbench.records.removal import find_row, in_use
from hillbench.records.tables import CastingRow


@dataclass(frozen=True, slots=True)
class CavityRecord:
    """The inside of a casting as it was measured once.

    Attributes
    ----------
    body_style
        Template it began from.
    measured
        What was measured, as `hillbench.ballast.measured_cavity.MeasuredCavity` in JSON.
    """

    id: int
    casting_id: int
    at: datetime
    body_style: str
    measured: dict[str, Any]
    note: str
    removed_at: datetime | None = None


def add_cavity(
    session: Session,
    casting: CastingRecord,
    body_style: str,
    measured: dict[str, Any],
    note: str,
    at: datetime,
) -> CavityRecord:
    """Add a cavity; from now on it is the one of its casting."""
    find_row(session, CastingRow, casting.id).changed_at = at
    row = CavityRow(
        casting_id=casting.id, at=at, body_style=body_style, measured=measured, note=note
    )
    session.add(row)
    session.flush()
    return _record(row)


def latest_cavity(session: Session, casting_id: int) -> CavityRecord | None:
    """Return the cavity that counts for a casting, None where it was never measured."""
    return next(iter(list_cavities(session, casting_id)), None)


def list_cavities(
    session: Session, casting_id: int, *, include_removed: bool = False
) -> tuple[CavityRecord, ...]:
    """Return the cavities of a casting, latest first."""
    query = select(CavityRow).where(CavityRow.casting_id == casting_id)
    query = in_use(query, CavityRow, include_removed=include_removed)
    query = query.order_by(CavityRow.at.desc(), CavityRow.id.desc())
    return tuple(_record(row) for row in session.scalars(query))


def find_cavity(session: Session, cavity_id: int) -> CavityRecord:
    """Return one cavity, removed or not; raise `NotFound` if there is none."""
    return _record(find_row(session, CavityRow, cavity_id))


def _record(row: CavityRow) -> CavityRecord:
    return CavityRecord(
        id=row.id,
        casting_id=row.casting_id,
        at=row.at,
        body_style=row.body_style,
        measured=row.measured,
        note=row.note,
        removed_at=row.removed_at,
    )
