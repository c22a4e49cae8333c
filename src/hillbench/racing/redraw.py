"""Heats for a meet by its format: the first draw, the final, and the rest drawn anew."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.counts import EMPTY, Heat
from hillbench.racing.format import Format
from hillbench.racing.meet_event import Draft, EventKind
from hillbench.racing.meet_ranking import fastest_cars
from hillbench.racing.meet_state import (
    NOT_STARTED,
    STAGE_FINAL,
    STAGE_HEATS,
    STAGE_LADDER,
    MeetState,
)
from hillbench.racing.pairs import draw_pairs
from hillbench.racing.qualifying import two_run_heats
from hillbench.racing.rebuild import rebuild
from hillbench.racing.schedule import draw_schedule
from hillbench.racing.scrutiny import Verdict
from hillbench.racing.staging import next_number, on_open_lanes

QUALIFYING = {Format.TWO_RUNS_FINAL, Format.SINGLE_SEEDED}
_LADDER_AT_ONCE = {Format.SINGLE, Format.SINGLE_OF_THREE, Format.DOUBLE}


def first_draw(state: MeetState, rng: np.random.Generator) -> Draft:
    """Return the draw of a meet before any heat has run.

    Raises
    ------
    InvalidInput
        If heats have run, or fewer than two cars may be drawn.
    """
    if state.heats:
        raise InvalidInput(
            [Problem("draw", f"{len(state.heats)} heats run", "none yet", "rebuild the rest")]
        )
    cars = eligible(state)
    if len(cars) < 2:
        allowed = "two or more that go on" + (", passed" if state.settings.must_pass else "")
        raise InvalidInput([Problem("cars", f"{len(cars)} to be drawn", allowed, "enter more")])
    settings = state.settings
    if settings.format in _LADDER_AT_ONCE:
        return Draft(
            EventKind.DRAWN,
            {"stage": STAGE_LADDER, "seeds": [int(car) for car in rng.permutation(cars)]},
        )
    open_lanes = settings.lanes - len(state.closed_lanes)
    shuffled = [int(car) for car in rng.permutation(cars)]
    if settings.format is Format.PAIRS:
        heats = _pairs(state, shuffled)
    elif settings.format in QUALIFYING:
        heats = [_named(state, heat, shuffled) for heat in two_run_heats(len(cars), open_lanes)]
    else:
        drawn = draw_schedule(
            len(cars), open_lanes, settings.rounds, rng=rng, meet_equally=settings.meet_equally
        )
        heats = [_named(state, heat, cars) for heat in drawn.heats]
    return _heats_draft(state, STAGE_HEATS, heats)


def draw_rest(state: MeetState, rng: np.random.Generator) -> Draft | None:
    """Return the heats still to run, drawn anew; what was run stays.

    None where there is nothing to draw anew: before the draw, and on a ladder, which sees for
    itself who is out.
    """
    if not state.drawn or state.seeds:
        return None
    if state.finalists:
        return _rest_of(state, STAGE_FINAL, list(state.finalists), rng)
    return _rest_of(state, STAGE_HEATS, list(eligible(state)), rng)


def draw_next_stage(state: MeetState, rng: np.random.Generator) -> Draft:
    """Return the draw of the final, or of the ladder that follows timed runs.

    Raises
    ------
    InvalidInput
        If heats are still to run, or too few cars have a time.
    """
    if state.plan or any(not heat.done for heat in state.heats.values()):
        allowed = "all heats done"
        raise InvalidInput([Problem("draw", "heats still to run", allowed, "run them first")])
    settings = state.settings
    ladder = settings.format is Format.SINGLE_SEEDED
    wanted = len(state.entries) if ladder else settings.finalists
    cars = fastest_cars(state, wanted, rng)
    if len(cars) < 2:
        raise InvalidInput([Problem("final", f"{len(cars)} cars with a time", "two or more")])
    if ladder:
        return Draft(EventKind.DRAWN, {"stage": STAGE_LADDER, "seeds": list(cars)})
    open_lanes = settings.lanes - len(state.closed_lanes)
    drawn = draw_schedule(len(cars), open_lanes, settings.final_rounds, rng=rng)
    heats = [_named(state, heat, cars) for heat in drawn.heats]
    draft = _heats_draft(state, STAGE_FINAL, heats)
    return replace(draft, payload={**draft.payload, "finalists": list(cars)})


def eligible(state: MeetState) -> tuple[int, ...]:
    """Return the cars that may be drawn: those that go on and have not failed scrutiny."""
    cars = []
    for car in state.active():
        verdict = state.entries[car].verdict
        barred = verdict is not Verdict.PASS if state.settings.must_pass else False
        if not barred and verdict is not Verdict.FAIL:
            cars.append(car)
    return tuple(cars)


def _rest_of(state: MeetState, stage: str, cars: list[int], rng: np.random.Generator) -> Draft:
    going = [car for car in cars if not state.entries[car].withdrawn]
    run = _run_heats(state, stage)
    absent = [car for car in going if state.entries[car].absent]
    settings = state.settings
    if stage == STAGE_HEATS and settings.format is Format.PAIRS:
        heats = _absent_last(_pairs_left(state, going, run), absent)
    elif stage == STAGE_HEATS and settings.format in QUALIFYING:
        heats = _absent_last(_two_runs_left(state, going, run), absent)
    else:
        rounds = settings.final_rounds if stage == STAGE_FINAL else settings.rounds
        found = rebuild(
            run,
            going,
            settings.lanes,
            rounds,
            rng=rng,
            closed_lanes=state.closed_lanes,
            absent=absent,
        )
        heats = list(found)
    draft = _heats_draft(state, stage, heats)
    if stage == STAGE_FINAL:
        return replace(draft, payload={**draft.payload, "finalists": cars})
    return draft


def _run_heats(state: MeetState, stage: str) -> list[Heat]:
    """Return the heats of a stage, cars that were not there left out so that they run later.

    A heat that is on the track or is to be run again counts as run: it will be.
    """
    return [
        tuple(
            EMPTY if lane in heat.rows and heat.rows[lane].note == NOT_STARTED else car
            for lane, car in enumerate(heat.cars, start=1)
        )
        for heat in state.heats.values()
        if heat.stage == stage
    ]


def _pairs(state: MeetState, cars: Sequence[int]) -> list[Heat]:
    return [
        on_open_lanes(state, tuple(cars[number - 1] for number in heat))
        for turn in draw_pairs(len(cars))
        for heat in turn
    ]


def _pairs_left(state: MeetState, cars: Sequence[int], run: Sequence[Heat]) -> list[Heat]:
    met = {frozenset(car for car in heat if car != EMPTY) for heat in run}
    if len(cars) < 2:
        return []
    return [heat for heat in _pairs(state, cars) if frozenset(heat) - {EMPTY} not in met]


def _two_runs_left(state: MeetState, cars: Sequence[int], run: Sequence[Heat]) -> list[Heat]:
    """Return heats that bring each car to two runs, on lanes it has not had where that can be."""
    lanes = [one for one in range(state.settings.lanes) if one + 1 not in state.closed_lanes]
    had = {car: [heat.index(car) for heat in run if car in heat] for car in cars}
    heats: list[Heat] = []
    while waiting := [car for car in cars if len(had[car]) < 2]:
        heat = [EMPTY] * state.settings.lanes
        for car in sorted(waiting, key=lambda one: len(had[one])):
            free = [lane for lane in lanes if heat[lane] == EMPTY]
            if not free:
                break
            lane = min(free, key=lambda one: (one in had[car], one))
            heat[lane] = car
            had[car].append(lane)
        heats.append(tuple(heat))
    return heats


def _absent_last(heats: list[Heat], absent: Sequence[int]) -> list[Heat]:
    return sorted(heats, key=lambda heat: any(car in absent for car in heat))


def _named(state: MeetState, heat: Heat, cars: Sequence[int]) -> Heat:
    """Return a heat drawn for cars 1, 2, 3 with the numbers that they have, on open lanes."""
    found = [cars[number - 1] if number != EMPTY else EMPTY for number in heat]
    return on_open_lanes(state, tuple(found))


def _heats_draft(state: MeetState, stage: str, heats: Sequence[Heat]) -> Draft:
    return Draft(
        EventKind.DRAWN,
        {
            "stage": stage,
            "first": next_number(state),
            "heats": [list(heat) for heat in heats],
        },
    )
