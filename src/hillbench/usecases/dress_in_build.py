"""Put the steps of applying decals, with their waits, into a build that is in hand."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Final

from sqlalchemy.orm import Session

from hillbench.building.caution import Caution
from hillbench.building.step import Step, StepKind
from hillbench.decals.apply_plan import APPLY, ApplyStep, Hazard
from hillbench.errors import InvalidInput, Problem
from hillbench.records import build_store, removal
from hillbench.records.bench_book import BenchBook
from hillbench.records.build_entities import BuildRecord, BuildState, StepRecord
from hillbench.records.entities import Kind

_CAUTIONS: Final[Mapping[Hazard, tuple[Caution, ...]]] = {
    Hazard.NONE: (),
    Hazard.BLADE: (Caution.BLADE,),
    Hazard.SOLVENT: (Caution.SOLVENT,),
}


def dress_in_build(
    book: BenchBook, build_id: int, steps: Sequence[ApplyStep], now: datetime
) -> BuildRecord:
    """Put the steps in place of the build's own decal steps, each waiting for the one before.

    Parameters
    ----------
    steps
        As `decals.apply_plan.apply_steps` gives them.

    Raises
    ------
    InvalidInput
        If there are no steps, or the build is not in hand.
    NotFound
        If there is no such build.
    """
    if not steps:
        allowed = "decals with places on panels"
        raise InvalidInput([Problem("items", "nothing to apply", allowed, "place them first")])
    with book.write() as session:
        build = build_store.find_build(session, build_id)
        if build.state is not BuildState.IN_HAND:
            raise InvalidInput([Problem("build", str(build.state), "a build that is in hand")])
        _put_in(session, build_id, steps, now)
        return build_store.change_build(session, build_id, {"changed_at": now})


def _put_in(session: Session, build_id: int, steps: Sequence[ApplyStep], now: datetime) -> None:
    every = build_store.list_steps(session, build_id, include_removed=True)
    here = [one for one in every if one.removed_at is None]
    old = [one for one in here if one.step.kind is StepKind.DECAL and one.done_at is None]
    stay = [one for one in here if one not in old]
    planned = list(_planned(steps, {one.step.key for one in every}, _first_waits(old)))
    planned = _with_film(planned, old)
    keys = [one.key for one in planned]
    place = _place(here, old, stay)
    for one in old:
        removal.remove(session, Kind.BUILD_STEP, one.id, now)
    for number, step in enumerate(planned):
        build_store.add_step(session, build_id, step, len(here) + number + 1)
    _wait_for_last(session, stay, {one.step.key for one in old}, keys[-1], place)
    names = [one.step.key for one in stay]
    build_store.set_order(session, build_id, [*names[:place], *keys, *names[place:]])


def _planned(steps: Sequence[ApplyStep], used: set[str], first: tuple[str, ...]) -> Iterator[Step]:
    names = (f"dress {number}" for number in range(1, len(used) + len(steps) + 2))
    free = (name for name in names if name not in used)
    before = first
    for one in steps:
        key = next(free)
        yield Step(
            key=key,
            kind=StepKind.DECAL,
            title=one.title[:200],
            text=one.text,
            minutes=one.minutes,
            wait_minutes=one.wait_min,
            wait_for=one.wait_for,
            waits_for=before,
            cautions=_CAUTIONS[one.hazard],
        )
        before = (key,)


def _with_film(planned: Sequence[Step], old: Sequence[StepRecord]) -> list[Step]:
    """Let the step that applies the first decals draw what the replaced ones would have drawn."""
    draws = tuple(draw for one in old for draw in one.step.draws)
    changes = tuple(change for one in old for change in one.step.changes)
    first = next(
        (n for n, one in enumerate(planned) if one.title.startswith(APPLY)), len(planned) - 1
    )
    found = list(planned)
    found[first] = dataclasses.replace(found[first], draws=draws, changes=changes)
    return found


def _first_waits(old: Sequence[StepRecord]) -> tuple[str, ...]:
    """Return what the steps that are replaced waited for beyond each other."""
    gone = {one.step.key for one in old}
    waits = (key for one in old for key in one.step.waits_for if key not in gone)
    return tuple(dict.fromkeys(waits))


def _place(
    here: Sequence[StepRecord], old: Sequence[StepRecord], stay: Sequence[StepRecord]
) -> int:
    """Return how many of the steps that stay come before: those before the old ones, or closing."""
    if old:
        first = here.index(old[0])
        return sum(1 for one in here[:first] if one in stay)
    closing = (
        number
        for number, one in enumerate(stay)
        if one.step.kind is StepKind.CLOSE and one.done_at is None
    )
    return next(closing, len(stay))


def _wait_for_last(
    session: Session, stay: Sequence[StepRecord], gone: set[str], last: str, place: int
) -> None:
    """Let what waited for the old steps, and closing, wait for the last new one."""
    for number, one in enumerate(stay):
        waits = tuple(dict.fromkeys(last if key in gone else key for key in one.step.waits_for))
        closes = one.step.kind is StepKind.CLOSE and number >= place
        if closes and last not in waits and one.done_at is None:
            waits = (*waits, last)
        if waits != one.step.waits_for:
            build_store.plan_step(session, one.id, dataclasses.replace(one.step, waits_for=waits))
