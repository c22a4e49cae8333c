"""Check off a step of a build, or take that back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy.orm import Session

from hillbench.building.order import ready
from hillbench.building.step import StepKind
from hillbench.errors import InvalidInput, NotFound, Problem
from hillbench.records import build_store, car_store, drawer_store, weighing_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.build_entities import BuildRecord, StepRecord
from hillbench.records.names import clean_note
from hillbench.usecases.build_order import places_of
from hillbench.usecases.note_step import minutes_words, open_step
from hillbench.usecases.watch_clock import watch_clock_in
from hillbench.usecases.weigh_car import check_weighing


@dataclass(frozen=True, slots=True)
class StepEntry:
    """What is entered when a step is checked off.

    Attributes
    ----------
    note
        What was noted.
    readings_g
        What the scale said, g; empty where it was not asked.
    scale_resolution_g
        Smallest step of the scale, g.
    take_from_drawer
        Whether what the step needs is drawn from the drawer.
    whole_car
        Whether the weighing is also kept as the mass of the car.
    anyway
        Whether it is done although something it waits for is not.
    """

    note: str = ""
    readings_g: tuple[float, ...] = ()
    scale_resolution_g: float | None = None
    take_from_drawer: bool = True
    whole_car: bool = False
    anyway: bool = False


def check_off(book: BenchBook, step_id: int, entry: StepEntry, now: datetime) -> StepRecord:
    """Note that a step is done: its draws, its weighing and its wait, all or nothing.

    Parameters
    ----------
    entry
        What is entered with it.

    Raises
    ------
    InvalidInput
        If a step it waits for is not done or must still be left alone, the drawer holds too
        little, or a reading is none.
    NotFound
        If there is no such step.
    """
    note = clean_note(entry.note)
    if entry.readings_g:
        check_weighing(entry.readings_g, entry.scale_resolution_g or 0.0)
    with book.write() as session:
        record, build = open_step(session, step_id)
        watch_clock_in(session, build, now)
        steps = build_store.list_steps(session, build.id)
        if record.done_at is None:
            if not entry.anyway:
                _require_ready(record, steps, now)
            if entry.take_from_drawer:
                _draw(session, record, build, now)
        values = {**_kept(entry, note), "draft": {}}
        if record.done_at is None:
            wait = timedelta(minutes=record.step.wait_minutes)
            values |= {"done_at": now, "wait_ends_at": now + wait if wait else None}
        if entry.whole_car and entry.readings_g and record.weighing_id is None:
            values["weighing_id"] = _weigh(session, build, record, entry, now)
        kept = build_store.change_step(session, step_id, values)
        after = build_store.list_steps(session, build.id)
        _turn_to(session, build.id, _next_key(after, now), now)
        car_store.touch_car(session, build.car_id, now)
        return kept


def take_back(book: BenchBook, step_id: int, now: datetime) -> StepRecord:
    """Note that a step is not done after all; what it drew goes back into the drawer.

    Raises
    ------
    NotFound
        If there is no such step.
    """
    with book.write() as session:
        record, build = open_step(session, step_id)
        give_back_of_step(session, step_id, now, f"{build.name}: {record.step.title}")
        kept = build_store.change_step(session, step_id, {"done_at": None, "wait_ends_at": None})
        _turn_to(session, build.id, record.step.key, now)
        return kept


def turn_to(book: BenchBook, build_id: int, key: str, now: datetime) -> None:
    """Take up another step; the build comes back to it.

    Parameters
    ----------
    key
        Its key.

    Raises
    ------
    NotFound
        If the build has no such step.
    """
    with book.write() as session:
        keys = {record.step.key for record in build_store.list_steps(session, build_id)}
        if key not in keys:
            raise NotFound("step", key)
        _turn_to(session, build_id, key, now)


def give_back_of_step(session: Session, step_id: int, now: datetime, note: str) -> None:
    """Put back what a step drew and has not given back yet.

    Parameters
    ----------
    session
        An open session.
    """
    left: dict[int, float] = {}
    for move in drawer_store.moves_of_steps(session, [step_id]):
        left[move.item_id] = round(left.get(move.item_id, 0.0) - move.amount, 3)
    for item_id, amount in left.items():
        if amount > 0.0:
            drawer_store.give_back(session, item_id, amount, now, note=note, build_step_id=step_id)


def _require_ready(record: StepRecord, steps: Sequence[StepRecord], now: datetime) -> None:
    by_key = {one.step.key: one for one in steps}
    before = [by_key[key] for key in record.step.waits_for if key in by_key]
    open_ = [repr(one.step.title) for one in before if one.done_at is None]
    title = repr(record.step.title)
    if open_:
        allowed = f"a step after {' and '.join(open_)}"
        remedy = "do that first, or tick that you do it anyway"
        raise InvalidInput([Problem("anyway", f"too early for {title}", allowed, remedy)])
    for one in before:
        if one.wait_ends_at is not None and one.wait_ends_at > now:
            left = minutes_words((one.wait_ends_at - now).total_seconds() / 60.0)
            rest = one.step.wait_for or f"{one.step.title} to rest"
            allowed = f"a step after the time for {rest}, which ends in {left}"
            remedy = "wait, or tick that you do it anyway"
            raise InvalidInput([Problem("anyway", f"too early for {title}", allowed, remedy)])


def _draw(session: Session, record: StepRecord, build: BuildRecord, now: datetime) -> None:
    note = f"{build.name}: {record.step.title}"
    for draw in record.step.draws:
        drawer_store.draw(
            session, draw.item_id, draw.amount, now, note=note, build_step_id=record.id
        )


def _kept(entry: StepEntry, note: str) -> dict[str, Any]:
    return {
        "note": note,
        "readings_g": list(entry.readings_g),
        "scale_resolution_g": entry.scale_resolution_g if entry.readings_g else None,
    }


def _weigh(
    session: Session, build: BuildRecord, record: StepRecord, entry: StepEntry, now: datetime
) -> int:
    note = f"{build.name}: {record.step.title}"
    step_g = entry.scale_resolution_g or 0.0
    readings = list(entry.readings_g)
    return weighing_store.add_weighing(session, build.car_id, readings, step_g, now, note).id


def is_whole_car(record: StepRecord, steps: Sequence[StepRecord]) -> bool:
    """Return whether a weighing at a step is likely one of the whole car.

    Parameters
    ----------
    record
        The step.
    steps
        All steps of its build.
    """
    changing = [one for one in steps if one.step.changes]
    none_begun = all(one.done_at is None for one in changing)
    all_done = all(one.done_at is not None for one in changing)
    return record.step.kind is StepKind.WEIGH and (none_begun or all_done)


def _next_key(steps: Sequence[StepRecord], now: datetime) -> str:
    """Return the step to take up next: the first that can be done, else the first not done."""
    done = [one.step.key for one in steps if one.done_at is not None]
    resting = [
        one.step.key for one in steps if one.wait_ends_at is not None and one.wait_ends_at > now
    ]
    free = ready(places_of(steps), done, resting)
    left = [one.step.key for one in steps if one.done_at is None]
    return next(iter([*free, *left]), "")


def _turn_to(session: Session, build_id: int, key: str, now: datetime) -> None:
    build_store.change_build(session, build_id, {"current_key": key, "changed_at": now})
