"""The order to run in: planned for an outing, and whose turn it is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import count
from typing import Final

from hillbench.records.entities import TimedRun
from hillbench.records.outing_entities import Plan, PlannedTurn
from hillbench.timing.run_order import run_order
from hillbench.timing.stopping import MOST_RUNS

PLANNED_RUNS_EACH: Final = MOST_RUNS
"""Runs of each car that are planned; whoever goes on begins the plan again."""


def plan_outing(car_ids: Sequence[int], lanes: int, *, together: bool = False) -> Plan:
    """Return the plan of an outing.

    Parameters
    ----------
    car_ids
        Cars in the order chosen, each once.
    lanes
        Lanes in use.
    together
        Whether as many cars as there are lanes start side by side.

    Raises
    ------
    InvalidInput
        If there is no car, one of them twice, or a count that is not allowed (places ``cars``
        and ``lanes``).
    """
    names = [str(car_id) for car_id in car_ids]
    turns = run_order(names, PLANNED_RUNS_EACH, lanes=lanes, together=together)
    return Plan(
        car_ids=tuple(car_ids),
        lanes=lanes,
        together=together and lanes > 1,
        turns=tuple(
            PlannedTurn(turn.number, int(turn.car), str(turn.lane) if lanes > 1 else None)
            for turn in turns
        ),
    )


def next_turns(plan: Plan, runs: Iterable[TimedRun]) -> tuple[PlannedTurn, ...]:
    """Return the cars of the next start that have not run it yet, empty without a plan.

    Parameters
    ----------
    plan
        Plan of the outing.
    runs
        Runs of the outing so far. A car that ran out of turn is not asked for that turn again.
    """
    if not plan.turns:
        return ()
    open_turns = _open_turns(plan, Counter(run.car_id for run in runs))
    first = next(open_turns)
    # One start is never longer than the lanes.
    following = (next(open_turns) for _ in range(plan.lanes - 1)) if plan.together else ()
    same = [turn for turn in following if turn.start == first.start]
    return (first, *same)


def lane_of(plan: Plan, runs: Iterable[TimedRun], car_id: int) -> str | None:
    """Return the lane planned for the next run of a car, None where none is planned."""
    if car_id not in plan.car_ids:
        return None
    open_turns = _open_turns(plan, Counter(run.car_id for run in runs))
    return next(turn.lane for turn in open_turns if turn.car_id == car_id)


def starts_of(plan: Plan, runs: Sequence[TimedRun]) -> tuple[float | None, ...]:
    """Return the number of the start of each run where cars run side by side, for the drift."""
    if not plan.together:
        return tuple(float(run.number) if run.number else None for run in runs)
    starts: list[float | None] = []
    done: Counter[int] = Counter()
    by_car: dict[int, list[int]] = {}
    for turn in plan.turns:
        by_car.setdefault(turn.car_id, []).append(turn.start)
    most = plan.turns[-1].start
    for run in runs:
        own = by_car.get(run.car_id)
        round_, place = divmod(done[run.car_id], len(own)) if own else (0, 0)
        starts.append(float(round_ * most + own[place]) if own else None)
        done[run.car_id] += 1
    return tuple(starts)


def _open_turns(plan: Plan, done: Counter[int]) -> Iterator[PlannedTurn]:
    """Yield the turns not run yet, without end; a plan that is done begins again."""
    left = Counter(done)
    last = plan.turns[-1].start
    for round_ in count():
        for turn in plan.turns:
            if left[turn.car_id] > 0:
                left[turn.car_id] -= 1
            else:
                yield PlannedTurn(round_ * last + turn.start, turn.car_id, turn.lane)
