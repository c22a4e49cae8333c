"""Builds in the bench book, with their steps."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields
from datetime import datetime
from typing import Any, Final

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from hillbench.building.step import Step
from hillbench.records.build_entities import BuildRecord, BuildState, StepRecord
from hillbench.records.build_tables import BuildRow, BuildStepRow
from hillbench.records.removal import find_row, in_use
from hillbench.records.step_document import step_from_plain, step_to_plain

_STEP_FIELDS: Final = tuple(field.name for field in fields(Step))


def add_build(
    session: Session,
    car_id: int,
    name: str,
    steps: Iterable[Step],
    now: datetime,
    entered: Mapping[str, Any] | None = None,
) -> BuildRecord:
    """Add a build with its steps in order; `entered` holds other fields of `BuildRecord`."""
    values: dict[str, Any] = {
        "note": "",
        "plan": {},
        "limit_g": None,
        "other_scale_step_g": 0.1,
        "meet_at": None,
        "bench_from_minute": 19 * 60,
        "bench_to_minute": 21 * 60 + 30,
        **(entered or {}),
    }
    row = BuildRow(
        car_id=car_id,
        name=name,
        state=str(BuildState.IN_HAND),
        current_key="",
        clock_seen_at=now,
        created_at=now,
        changed_at=now,
        **values,
    )
    session.add(row)
    session.flush()
    session.add_all(_new_step(row.id, step, n) for n, step in enumerate(steps, start=1))
    session.flush()
    return _build(row)


def find_build(session: Session, build_id: int) -> BuildRecord:
    """Return one build, removed or not; raise `NotFound` if there is none."""
    return _build(find_row(session, BuildRow, build_id))


def list_builds(
    session: Session, *, car_id: int | None = None, include_removed: bool = False
) -> tuple[BuildRecord, ...]:
    """Return builds, last changed first: of one car or of all."""
    query = select(BuildRow).order_by(BuildRow.changed_at.desc(), BuildRow.id.desc())
    if car_id is not None:
        query = query.where(BuildRow.car_id == car_id)
    query = in_use(query, BuildRow, include_removed=include_removed)
    return tuple(_build(row) for row in session.scalars(query))


def change_build(session: Session, build_id: int, values: Mapping[str, Any]) -> BuildRecord:
    """Change fields of a build, by their names."""
    row = find_row(session, BuildRow, build_id)
    for name, value in values.items():
        setattr(row, name, str(value) if isinstance(value, BuildState) else value)
    session.flush()
    return _build(row)


def add_step(session: Session, build_id: int, step: Step, position: int) -> StepRecord:
    """Add a step at a place in the order."""
    row = _new_step(build_id, step, position)
    session.add(row)
    session.flush()
    return _step(row)


def list_steps(
    session: Session, build_id: int, *, include_removed: bool = False
) -> tuple[StepRecord, ...]:
    """Return the steps of a build in order."""
    query = select(BuildStepRow).where(BuildStepRow.build_id == build_id)
    query = query.order_by(BuildStepRow.position, BuildStepRow.id)
    query = in_use(query, BuildStepRow, include_removed=include_removed)
    return tuple(_step(row) for row in session.scalars(query))


def find_step(session: Session, step_id: int) -> StepRecord:
    """Return one step, removed or not; raise `NotFound` if there is none."""
    return _step(find_row(session, BuildStepRow, step_id))


def plan_step(session: Session, step_id: int, step: Step) -> StepRecord:
    """Plan a step anew; what was done at it stays."""
    return change_step(session, step_id, step_to_plain(step))


def change_step(session: Session, step_id: int, values: Mapping[str, Any]) -> StepRecord:
    """Change columns of a step, by their names."""
    row = find_row(session, BuildStepRow, step_id)
    for name, value in values.items():
        setattr(row, name, value)
    session.flush()
    return _step(row)


def set_order(session: Session, build_id: int, keys: Sequence[str]) -> None:
    """Put the steps of a build in the order of their keys."""
    query = select(BuildStepRow).where(
        BuildStepRow.build_id == build_id, BuildStepRow.removed_at.is_(None)
    )
    for row in session.scalars(query):
        row.position = keys.index(row.key) + 1
    session.flush()


def progress(session: Session) -> dict[int, tuple[int, int]]:
    """Return how many steps are done, and how many there are, of each build by its number."""
    query = (
        select(BuildStepRow.build_id, func.count(BuildStepRow.done_at), func.count(BuildStepRow.id))
        .where(BuildStepRow.removed_at.is_(None))
        .group_by(BuildStepRow.build_id)
    )
    return {build_id: (done, total) for build_id, done, total in session.execute(query)}


def _new_step(build_id: int, step: Step, position: int) -> BuildStepRow:
    plain = step_to_plain(step)
    return BuildStepRow(
        build_id=build_id, position=position, note="", readings_g=[], draft={}, **plain
    )


def _build(row: BuildRow) -> BuildRecord:
    values = {field.name: getattr(row, field.name) for field in fields(BuildRecord)}
    return BuildRecord(**{**values, "state": BuildState(row.state), "plan": dict(row.plan)})


def _step(row: BuildStepRow) -> StepRecord:
    return StepRecord(
        id=row.id,
        build_id=row.build_id,
        position=row.position,
        step=step_from_plain({name: getattr(row, name) for name in _STEP_FIELDS}),
        done_at=row.done_at,
        wait_ends_at=row.wait_ends_at,
        note=row.note,
        readings_g=tuple(row.readings_g),
        scale_resolution_g=row.scale_resolution_g,
        weighing_id=row.weighing_id,
        photo_id=row.photo_id,
        draft=dict(row.draft),
        removed_at=row.removed_at,
    )
