"""Who runs now, who is next, who must be ready."""

from __future__ import annotations

from itertools import pairwise
from statistics import median

from hillbench.racing.climb import open_matches
from hillbench.racing.counts import EMPTY, Heat
from hillbench.racing.meet_state import STAGE_LADDER, MeetState, Planned
from hillbench.racing.pairs import lanes_for

_USUAL_GAP_S = 120.0
_LONGEST_GAP_S = 900.0


def upcoming(state: MeetState) -> tuple[Planned, ...]:
    """Return the heats to come in order: those to be run again first, then as drawn.

    Of a ladder these are the matches whose cars are known; matches of absent cars go last.
    """
    again = [
        Planned(heat.number, heat.stage, heat.cars, heat.match, heat.race, again=True)
        for heat in state.heats.values()
        if heat.started_at_s is None
    ]
    return (*again, *state.plan, *_matches(state))


def _matches(state: MeetState) -> list[Planned]:
    busy = {heat.match for heat in state.heats.values() if heat.match is not None and not heat.done}
    ready = [one for one in open_matches(state) if one[0].number not in busy]
    ready.sort(key=lambda one: _is_absent(state, one[1]) or _is_absent(state, one[2]))
    first = next_number(state)
    return [
        Planned(
            number,
            STAGE_LADDER,
            on_open_lanes(state, lanes_for(car, other, race)),
            match.number,
            race,
        )
        for number, (match, car, other, race) in enumerate(ready, start=first)
    ]


def next_number(state: MeetState) -> int:
    """Return the number after all heats that were started."""
    return max(state.heats, default=0) + 1


def on_open_lanes(state: MeetState, cars: Heat) -> Heat:
    """Return cars side by side spread over the lanes that are in order."""
    lanes = state.settings.lanes
    open_lanes = [lane for lane in range(1, lanes + 1) if lane not in state.closed_lanes]
    found = [EMPTY] * max(lanes, len(cars))
    # With too few lanes in order there is nothing to draw by; the director sees it at once.
    places = open_lanes if len(open_lanes) >= len(cars) else list(range(1, len(cars) + 1))
    for lane, car in zip(places, cars, strict=False):
        found[lane - 1] = car
    return tuple(found)


def _is_absent(state: MeetState, car: int) -> bool:
    entry = state.entries.get(car)
    return entry is not None and entry.absent


def heat_gap_s(state: MeetState) -> float:
    """Return what a heat takes from one start to the next, s: the median of the day so far."""
    starts = sorted(
        heat.started_at_s for heat in state.heats.values() if heat.started_at_s is not None
    )
    gaps = [later - earlier for earlier, later in pairwise(starts)]
    # A lunch break is not the pace.
    gaps = [gap for gap in gaps if 0.0 < gap < _LONGEST_GAP_S]
    return median(gaps) if len(gaps) >= 3 else _USUAL_GAP_S


def heats_until(state: MeetState, car: int) -> int | None:
    """Return how many heats come before the next one of a car; None where it has none drawn."""
    return next((place for place, heat in enumerate(upcoming(state)) if car in heat.cars), None)
