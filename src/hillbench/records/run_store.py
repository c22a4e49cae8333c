"""Timed runs."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from typing import Any

from sqlalchemy import Row, func, or_, select
from sqlalchemy.orm import Session, aliased

from hillbench.records.entities import RunNote, TimedBy, TimedRun
from hillbench.records.tables import CarRow, TimedRunRow


def add_run(
    session: Session,
    track_version_id: int,
    track_id: int,
    car_id: int,
    finish_time_s: float | None,
    note: RunNote,
    at: datetime,
) -> TimedRun:
    """Add a timed run on one version of a track."""
    row = TimedRunRow(
        track_version_id=track_version_id,
        track_id=track_id,
        car_id=car_id,
        finish_time_s=finish_time_s,
        note=str(note),
        at=at,
    )
    session.add(row)
    session.flush()
    return run_of_row(row)


def list_runs(
    session: Session,
    *,
    track_id: int | None = None,
    car_id: int | None = None,
    without_outing_ids: Collection[int] = (),
    limit: int | None = None,
    include_removed: bool = False,
) -> tuple[TimedRun, ...]:
    """Return timed runs, latest first: of a track, of a car, of both, or all; some outings less."""
    # Columns, not mapped rows: hundreds are read for every answer of the clock.
    query = select(*TimedRunRow.__table__.columns)
    query = query.order_by(TimedRunRow.at.desc(), TimedRunRow.id.desc())
    if track_id is not None:
        query = query.where(TimedRunRow.track_id == track_id)
    if car_id is not None:
        query = query.where(TimedRunRow.car_id == car_id)
    if without_outing_ids:
        outing_id = TimedRunRow.outing_id
        query = query.where(or_(outing_id.is_(None), outing_id.not_in(without_outing_ids)))
    if not include_removed:
        query = query.where(TimedRunRow.removed_at.is_(None))
    return tuple(run_of_row(row) for row in session.execute(query.limit(limit)))


def fastest_runs(
    session: Session, track_id: int, *, car_id: int | None = None, limit: int
) -> tuple[TimedRun, ...]:
    """Return the fastest clean runs on a track, of one car or of all, fastest first."""
    query = (
        select(TimedRunRow)
        .where(
            TimedRunRow.track_id == track_id,
            TimedRunRow.removed_at.is_(None),
            TimedRunRow.finish_time_s.is_not(None),
            TimedRunRow.note == str(RunNote.CLEAN),
        )
        .order_by(TimedRunRow.finish_time_s, TimedRunRow.id)
        .limit(limit)
    )
    if car_id is not None:
        query = query.where(TimedRunRow.car_id == car_id)
    return tuple(run_of_row(row) for row in session.scalars(query))


def latest_runs(session: Session) -> dict[int, TimedRun]:
    """Return the latest timed run of each car that has one, by car."""
    inner = aliased(TimedRunRow)
    latest = (
        select(inner.id)
        .where(inner.car_id == CarRow.id, inner.removed_at.is_(None))
        .order_by(inner.at.desc(), inner.id.desc())
        .limit(1)
        .scalar_subquery()
    )
    query = select(TimedRunRow).join(CarRow, TimedRunRow.id == latest)
    return {row.car_id: run_of_row(row) for row in session.scalars(query)}


def count_runs_by_car(session: Session, car_id: int | None = None) -> dict[int, int]:
    """Return how many timed runs each car has, or one car, without those that were removed."""
    query = (
        select(TimedRunRow.car_id, func.count())
        .where(TimedRunRow.removed_at.is_(None))
        .group_by(TimedRunRow.car_id)
    )
    if car_id is not None:
        query = query.where(TimedRunRow.car_id == car_id)
    return {row[0]: row[1] for row in session.execute(query)}


def run_of_row(row: TimedRunRow | Row[Any]) -> TimedRun:
    """Return a row as a value."""
    return TimedRun(
        id=row.id,
        track_version_id=row.track_version_id,
        track_id=row.track_id,
        car_id=row.car_id,
        finish_time_s=row.finish_time_s,
        note=RunNote(row.note),
        at=row.at,
        removed_at=row.removed_at,
        outing_id=row.outing_id,
        number=row.number,
        lane=row.lane,
        entry_key=row.entry_key,
        time_source=TimedBy(row.time_source),
        time_uncertainty_s=row.time_uncertainty_s,
        gate_times_s=tuple(row.gate_times_s or ()),
    )
