"""Edits of timed runs: what a run said before is kept."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from hillbench.records.entities import RunNote, TimedRun
from hillbench.records.outing_entities import RunEdit
from hillbench.records.removal import find_row
from hillbench.records.run_store import run_of_row
from hillbench.records.tables import RunEditRow, TimedRunRow


def find_run(session: Session, run_id: int) -> TimedRun:
    """Return one run, removed or not; raise `NotFound` if there is none."""
    return run_of_row(find_row(session, TimedRunRow, run_id))


def edit_run(
    session: Session,
    run_id: int,
    car_id: int,
    finish_time_s: float | None,
    note: RunNote,
    lane: str | None,
    at: datetime,
    gate_times_s: Sequence[float | None] | None = None,
) -> TimedRun:
    """Give a run other values; those it had are kept. Equal values change nothing.

    Gate times stay as they are where `gate_times_s` is None.
    """
    row = find_row(session, TimedRunRow, run_id)
    before = {
        "car_id": row.car_id,
        "finish_time_s": row.finish_time_s,
        "note": row.note,
        "lane": row.lane,
        "gate_times_s": row.gate_times_s,
    }
    gates = row.gate_times_s if gate_times_s is None else list(gate_times_s) or None
    after = {
        "car_id": car_id,
        "finish_time_s": finish_time_s,
        "note": str(note),
        "lane": lane,
        "gate_times_s": gates,
    }
    if after != before:
        session.add(RunEditRow(run_id=run_id, at=at, **before))
        for name, value in after.items():
            setattr(row, name, value)
        session.flush()
    return run_of_row(row)


def list_run_edits(session: Session, run_ids: Iterable[int]) -> dict[int, tuple[RunEdit, ...]]:
    """Return what runs said before, oldest first, by run; runs never edited are left out."""
    query = select(RunEditRow).where(RunEditRow.run_id.in_(tuple(run_ids))).order_by(RunEditRow.id)
    found: dict[int, tuple[RunEdit, ...]] = {}
    for row in session.scalars(query):
        edit = RunEdit(
            id=row.id,
            run_id=row.run_id,
            at=row.at,
            finish_time_s=row.finish_time_s,
            note=row.note,
            lane=row.lane,
            car_id=row.car_id,
            gate_times_s=tuple(row.gate_times_s or ()),
        )
        found[row.run_id] = (*found.get(row.run_id, ()), edit)
    return found
