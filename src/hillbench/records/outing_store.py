"""Outings and the runs in them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, fields
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from hillbench.records.entities import RunNote, TimedBy, TimedRun
from hillbench.records.outing_entities import Conditions, Outing, Plan, PlannedTurn
from hillbench.records.removal import find_row, in_use
from hillbench.records.run_store import run_of_row
from hillbench.records.tables import CarRow, OutingRow, TimedRunRow


@dataclass(frozen=True, slots=True)
class NewRun:
    """A run to be added with others; see `hillbench.records.entities.TimedRun`."""

    car_id: int
    finish_time_s: float | None
    note: RunNote
    lane: str | None = None
    entry_key: str | None = None
    time_source: TimedBy = TimedBy.TYPED
    time_uncertainty_s: float | None = None
    gate_times_s: tuple[float | None, ...] = ()


def add_outing(
    session: Session,
    track_version_id: int,
    track_id: int,
    begun_at: datetime,
    plan: Plan,
    *,
    conditions: Conditions | None = None,
    matters_s: float | None = None,
    note: str = "",
) -> Outing:
    """Add an outing on one version of a track."""
    row = OutingRow(track_version_id=track_version_id, track_id=track_id, begun_at=begun_at)
    _set(row, plan, conditions or Conditions(), matters_s, note)
    session.add(row)
    session.flush()
    return _outing(row)


def change_outing(
    session: Session,
    outing_id: int,
    plan: Plan,
    conditions: Conditions,
    matters_s: float | None,
    note: str,
) -> Outing:
    """Give an outing another plan, conditions, limit or note."""
    row = find_row(session, OutingRow, outing_id)
    _set(row, plan, conditions, matters_s, note)
    session.flush()
    return _outing(row)


def find_outing(session: Session, outing_id: int) -> Outing:
    """Return one outing, removed or not; raise `NotFound` if there is none."""
    return _outing(find_row(session, OutingRow, outing_id))


def list_outings(
    session: Session,
    *,
    track_id: int | None = None,
    car_id: int | None = None,
    limit: int | None = None,
    include_removed: bool = False,
) -> tuple[Outing, ...]:
    """Return outings, latest first: on a track, of a car, of both, or all."""
    query = select(OutingRow).order_by(OutingRow.begun_at.desc(), OutingRow.id.desc())
    if track_id is not None:
        query = query.where(OutingRow.track_id == track_id)
    if car_id is not None:
        ran = select(TimedRunRow.outing_id).where(
            TimedRunRow.car_id == car_id,
            TimedRunRow.removed_at.is_(None),
            TimedRunRow.outing_id.is_not(None),
        )
        query = query.where(OutingRow.id.in_(ran))
    query = in_use(query, OutingRow, include_removed=include_removed).limit(limit)
    return tuple(_outing(row) for row in session.scalars(query))


def outings_by_id(session: Session, outing_ids: Iterable[int]) -> dict[int, Outing]:
    """Return outings by their numbers, removed ones included."""
    query = select(OutingRow).where(OutingRow.id.in_(tuple(outing_ids)))
    return {row.id: _outing(row) for row in session.scalars(query)}


def list_outing_runs(
    session: Session, outing_ids: Iterable[int], *, include_removed: bool = False
) -> tuple[TimedRun, ...]:
    """Return the runs of outings, by outing and in the order entered."""
    query = (
        select(TimedRunRow)
        .where(TimedRunRow.outing_id.in_(tuple(outing_ids)))
        .order_by(TimedRunRow.outing_id, TimedRunRow.number, TimedRunRow.id)
    )
    query = in_use(query, TimedRunRow, include_removed=include_removed)
    return tuple(run_of_row(row) for row in session.scalars(query))


def count_outing_runs(session: Session, outing_ids: Iterable[int]) -> dict[int, dict[int, int]]:
    """Return how many runs each car has in each outing, by outing and car."""
    query = (
        select(TimedRunRow.outing_id, TimedRunRow.car_id, func.count())
        .where(TimedRunRow.outing_id.in_(tuple(outing_ids)), TimedRunRow.removed_at.is_(None))
        .group_by(TimedRunRow.outing_id, TimedRunRow.car_id)
        .order_by(func.min(TimedRunRow.number))
    )
    found: dict[int, dict[int, int]] = {}
    for outing_id, car_id, runs in session.execute(query):
        if outing_id is not None:
            found.setdefault(outing_id, {})[car_id] = runs
    return found


def run_with_key(session: Session, entry_key: str) -> TimedRun | None:
    """Return the run that was entered under a key, removed or not."""
    query = select(TimedRunRow).where(TimedRunRow.entry_key == entry_key)
    row = session.scalars(query).first()
    return None if row is None else run_of_row(row)


def add_outing_run(
    session: Session,
    outing: Outing,
    car_id: int,
    finish_time_s: float | None,
    note: RunNote,
    at: datetime,
    *,
    lane: str | None = None,
    entry_key: str | None = None,
    time_source: TimedBy = TimedBy.TYPED,
    time_uncertainty_s: float | None = None,
    gate_times_s: Sequence[float | None] = (),
) -> TimedRun:
    """Add a run to an outing, numbered after all that were ever entered in it."""
    row = TimedRunRow(
        track_version_id=outing.track_version_id,
        track_id=outing.track_id,
        car_id=car_id,
        finish_time_s=finish_time_s,
        note=str(note),
        at=at,
        outing_id=outing.id,
        number=_last_number(session, outing.id) + 1,
        lane=lane,
        entry_key=entry_key,
        time_source=str(time_source),
        time_uncertainty_s=time_uncertainty_s,
        gate_times_s=list(gate_times_s) or None,
    )
    session.add(row)
    session.flush()
    return run_of_row(row)


def add_outing_runs(session: Session, outing: Outing, entries: Sequence[NewRun]) -> None:
    """Add many runs to an outing in their order, a second apart from its beginning."""
    last = _last_number(session, outing.id)
    names = [field.name for field in fields(NewRun)]
    rows = [
        {
            **{name: getattr(entry, name) for name in names},
            "note": str(entry.note),
            "time_source": str(entry.time_source),
            "gate_times_s": list(entry.gate_times_s) or None,
            "track_version_id": outing.track_version_id,
            "track_id": outing.track_id,
            "at": outing.begun_at + timedelta(seconds=number),
            "outing_id": outing.id,
            "number": number,
        }
        for number, entry in enumerate(entries, start=last + 1)
    ]
    if rows:
        session.execute(insert(TimedRunRow), rows)


def outings_by_key(session: Session, prefix: str) -> dict[str, int]:
    """Return the outing of each run whose key begins with a prefix, by key, removed or not."""
    after = prefix[:-1] + chr(ord(prefix[-1]) + 1)
    query = select(TimedRunRow.entry_key, TimedRunRow.outing_id).where(
        TimedRunRow.entry_key >= prefix, TimedRunRow.entry_key < after
    )
    return {key: outing_id for key, outing_id in session.execute(query) if key and outing_id}


def car_names(session: Session, car_ids: Iterable[int]) -> dict[int, str]:
    """Return the names of cars by their numbers, removed ones included."""
    query = select(CarRow.id, CarRow.name).where(CarRow.id.in_(tuple(car_ids)))
    return {row.id: row.name for row in session.execute(query)}


def _last_number(session: Session, outing_id: int) -> int:
    """Return the highest number ever given in an outing, so that none is given twice."""
    query = select(func.max(TimedRunRow.number)).where(TimedRunRow.outing_id == outing_id)
    return session.scalar(query) or 0


def _set(
    row: OutingRow, plan: Plan, conditions: Conditions, matters_s: float | None, note: str
) -> None:
    row.plan = asdict(plan)
    row.matters_s = matters_s
    row.note = note
    for name, value in asdict(conditions).items():
        setattr(row, name, value)


def _outing(row: OutingRow) -> Outing:
    return Outing(
        id=row.id,
        track_version_id=row.track_version_id,
        track_id=row.track_id,
        begun_at=row.begun_at,
        matters_s=row.matters_s,
        note=row.note,
        conditions=Conditions(
            temperature_c=row.temperature_c,
            humidity_percent=row.humidity_percent,
            surface_cleaned=row.surface_cleaned,
            lubricant_note=row.lubricant_note,
        ),
        plan=_plan(row.plan),
        removed_at=row.removed_at,
    )


def _plan(stored: dict[str, Any]) -> Plan:
    return Plan(
        car_ids=tuple(stored["car_ids"]),
        lanes=stored["lanes"],
        together=stored["together"],
        turns=tuple(PlannedTurn(**turn) for turn in stored["turns"]),
    )
