"""Change what a build consists of: order, steps taken out, own steps, waits between them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Final

from sqlalchemy.orm import Session

from hillbench.building.order import Place, move, put_in_order, take_out
from hillbench.building.step import Step
from hillbench.errors import InvalidInput, Problem
from hillbench.records import build_store, removal
from hillbench.records.bench_book import BenchBook
from hillbench.records.build_entities import StepRecord
from hillbench.records.entities import Kind
from hillbench.records.names import clean_name, clean_note
from hillbench.records.quantities import check_range

_MINUTES: Final = (0.0, 10_000.0, "min")
_DEPTH_MM: Final = (0.0, 100.0, "mm")
_MASS_G: Final = (-500.0, 500.0, "g")
_MOST_STEPS: Final = 200


def places_of(steps: Sequence[StepRecord]) -> tuple[Place, ...]:
    """Return steps as far as their order matters; waits for what is not there are left out.

    Parameters
    ----------
    steps
        Of one build, in order.
    """
    known = {one.step.key for one in steps}
    return tuple(
        Place(
            one.step.key,
            one.step.title,
            tuple(key for key in one.step.waits_for if key in known),
        )
        for one in steps
    )


def move_step(book: BenchBook, step_id: int, by: int, now: datetime) -> None:
    """Move a step one place up or down.

    Parameters
    ----------
    by
        −1 for earlier, 1 for later.

    Raises
    ------
    InvalidInput
        If one of the two waits for the other.
    NotFound
        If there is no such step.
    """
    with book.write() as session:
        record, steps = _step_in_build(session, step_id)
        order = move(places_of(steps), record.step.key, by)
        build_store.set_order(session, record.build_id, order)
        _note_change(session, record.build_id, now)


def remove_step(book: BenchBook, step_id: int, now: datetime, *, reattach: bool = False) -> None:
    """Take a step out of its build.

    Parameters
    ----------
    reattach
        Whether steps that wait for it shall wait for what it waits for.

    Raises
    ------
    InvalidInput
        If others wait for it and `reattach` is not given, or it is done.
    NotFound
        If there is no such step.
    """
    with book.write() as session:
        record, steps = _step_in_build(session, step_id)
        if record.done_at is not None:
            remedy = "take its check mark back first"
            seen, allowed = f"{record.step.title!r}, which is done", "a step that is still to come"
            raise InvalidInput([Problem("step", seen, allowed, remedy)])
        waits = take_out(places_of(steps), record.step.key, reattach=reattach)
        for one in steps:
            if one.id != step_id and waits[one.step.key] != one.step.waits_for:
                again = replace(one.step, waits_for=waits[one.step.key])
                build_store.plan_step(session, one.id, again)
        removal.remove(session, Kind.BUILD_STEP, step_id, now)
        left = [one.step.key for one in steps if one.id != step_id]
        build_store.set_order(session, record.build_id, left)
        _note_change(session, record.build_id, now)


def add_own_step(
    book: BenchBook, build_id: int, step: Step, now: datetime, *, before_id: int | None = None
) -> StepRecord:
    """Add a step of the builder's own; its key is made here.

    Parameters
    ----------
    step
        The step; what it waits for are keys of the build.
    before_id
        The step before which it goes; at the end where None.

    Raises
    ------
    InvalidInput
        If an entry will not do, or it would stand before what it waits for.
    """
    with book.write() as session:
        steps = build_store.list_steps(session, build_id, include_removed=True)
        if len(steps) >= _MOST_STEPS:
            allowed = f"at most {_MOST_STEPS} steps"
            raise InvalidInput([Problem("steps", f"{len(steps)} steps", allowed)])
        used = {one.step.key for one in steps}
        numbers = (f"own {number}" for number in range(1, len(used) + 2))
        step = replace(_checked(step), key=next(key for key in numbers if key not in used))
        here = [one for one in steps if one.removed_at is None]
        added = build_store.add_step(session, build_id, step, len(here) + 1)
        place = next((n for n, one in enumerate(here) if one.id == before_id), len(here))
        _require_order([*here[:place], added, *here[place:]])
        keys = [one.step.key for one in here]
        build_store.set_order(session, build_id, [*keys[:place], step.key, *keys[place:]])
        _note_change(session, build_id, now)
        return added


def edit_step(book: BenchBook, step_id: int, step: Step, now: datetime) -> StepRecord:
    """Plan a step anew: its words, sizes, times, mass and what it waits for.

    Parameters
    ----------
    step
        As it is to be; its key stays as it was.

    Raises
    ------
    InvalidInput
        If an entry will not do, or steps would wait for each other.
    NotFound
        If there is no such step.
    """
    with book.write() as session:
        record, steps = _step_in_build(session, step_id)
        step = replace(_checked(step), key=record.step.key)
        _require_order([replace(one, step=step) if one.id == step_id else one for one in steps])
        _note_change(session, record.build_id, now)
        return build_store.plan_step(session, step_id, step)


def _step_in_build(session: Session, step_id: int) -> tuple[StepRecord, tuple[StepRecord, ...]]:
    record = build_store.find_step(session, step_id)
    return record, build_store.list_steps(session, record.build_id)


def _require_order(steps: Sequence[StepRecord]) -> None:
    """Raise `InvalidInput` where a step would stand before what it waits for."""
    places = places_of(steps)
    put_in_order(places)  # names a ring
    seen: set[str] = set()
    titles = {place.key: place.title for place in places}
    for place in places:
        late = [key for key in place.waits_for if key not in seen]
        if late:
            allowed = f"after {titles[late[0]]!r}, which it waits for"
            remedy = "move it down, or take that wait out"
            raise InvalidInput(
                [Problem("waits_for", f"{place.title!r} before it", allowed, remedy)]
            )
        seen.add(place.key)


def _checked(step: Step) -> Step:
    problems = list(_problems(step))
    if problems:
        raise InvalidInput(problems)
    return replace(
        step,
        title=clean_name(step.title, "title"),
        text=clean_note(step.text, "text"),
        tool=clean_note(step.tool, "tool"),
        size=clean_note(step.size, "size"),
        wait_for=clean_note(step.wait_for, "wait_for"),
    )


def _problems(step: Step) -> Iterator[Problem]:
    try:
        clean_name(step.title, "title")
    except InvalidInput as wrong:
        yield from wrong.problems
    yield from check_range("minutes", step.minutes, _MINUTES)
    yield from check_range("wait_minutes", step.wait_minutes, _MINUTES)
    if step.depth_mm is not None:
        yield from check_range("depth_mm", step.depth_mm, _DEPTH_MM)
    for change in step.changes:
        yield from check_range("change_g", change.mass_g, _MASS_G)
        yield from check_range("change_uncertainty_g", change.uncertainty_g, (0.0, 100.0, "g"))


def _note_change(session: Session, build_id: int, now: datetime) -> None:
    build_store.change_build(session, build_id, {"changed_at": now})
