"""The rest of a schedule made anew: late entries, withdrawals, absent cars, a lane lost."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np
import numpy.typing as npt

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.annealed import Start, anneal_heats
from hillbench.racing.counts import EMPTY, Heat, count_lanes, count_meetings
from hillbench.racing.peeling import heats_of


def rebuild(
    run: Sequence[Heat],
    cars: Collection[int],
    lanes: int,
    rounds: int = 1,
    *,
    rng: np.random.Generator,
    closed_lanes: Collection[int] = (),
    absent: Collection[int] = (),
) -> tuple[Heat, ...]:
    """Return the heats still to run, so that each car comes to `rounds` runs on each lane.

    Parameters
    ----------
    run
        Heats run so far, which stay: car numbers by lane, 0 for an empty lane. A car that
        should have run and did not stands as 0, so that it gets its run later.
    cars
        Numbers of the cars that go on, from 1: late entries in, withdrawn cars left out.
    lanes
        Number of lanes, closed ones included.
    rounds
        Runs of each car on each lane in the end.
    rng
        Source of randomness.
    closed_lanes
        Lanes that are out of order, from 1: they stay empty.
    absent
        Cars not to run in the next heat, where that is possible.

    Raises
    ------
    InvalidInput
        For a number that is not allowed.

    Notes
    -----
    What each car still needs on each lane is a bipartite multigraph; by König's theorem it
    takes as many heats as the busiest car or lane has runs left, and lanes come out exactly
    (`peeling.heats_of`). Cars then change places within their lanes, round by round, for rest
    and even meetings, those of the heats run included.
    """
    _check(run, cars, lanes, rounds, closed_lanes)
    numbers = sorted(cars)
    open_lanes = [lane for lane in range(lanes) if lane + 1 not in closed_lanes]
    everyone = max([*numbers, *(car for heat in run for car in heat)], default=0)
    chosen = np.array(numbers, dtype=np.int64) - 1
    done = count_lanes(run, everyone, lanes)[chosen][:, open_lanes]
    table, starts = _rounds(done, rounds)
    if not len(table):
        return ()
    met = count_meetings(run, everyone)[np.ix_(chosen, chosen)]
    last = {*(run[-1] if run else ()), *absent} & set(numbers)
    start = Start(table, len(numbers), starts, met, tuple(numbers.index(car) for car in last))
    table = anneal_heats(start, rng, same_lane=True)
    names = np.array([*numbers, EMPTY], dtype=np.int64)
    heats = np.zeros((len(table), lanes), dtype=np.int64)
    heats[:, open_lanes] = names[table]
    found = [tuple(int(car) for car in heat) for heat in heats if heat.any()]
    return tuple(_without_absent_first(found, absent, starts[1]))


def _rounds(
    done: npt.NDArray[np.int64], rounds: int
) -> tuple[npt.NDArray[np.int32], tuple[int, ...]]:
    """Return heats that bring every car up round by round, and where each round starts."""
    planned = done.copy()
    parts, starts = [], [0]
    for number in range(1, rounds + 1):
        need = np.maximum(number - planned, 0)
        part = heats_of(need)
        planned += need
        if len(part):
            parts.append(part)
            starts.append(starts[-1] + len(part))
    empty = np.empty((0, done.shape[1]), dtype=np.int32)
    return (np.concatenate(parts) if parts else empty), tuple(starts)


def _without_absent_first(
    heats: list[Heat], absent: Collection[int], first_round: int
) -> list[Heat]:
    """Return the heats with one of the first round in front that has none of the absent cars."""
    for place, heat in enumerate(heats[:first_round]):
        if not set(absent).intersection(heat):
            return [heat, *heats[:place], *heats[place + 1 :]]
    return heats


def _check(
    run: Sequence[Heat],
    cars: Collection[int],
    lanes: int,
    rounds: int,
    closed_lanes: Collection[int],
) -> None:
    problems = []
    if any(car < 1 for car in cars) or len(set(cars)) != len(cars):
        problems.append(Problem("cars", str(sorted(cars)), "numbers from 1, each once"))
    for place, heat in enumerate(run, start=1):
        running = [car for car in heat if car != EMPTY]
        if len(heat) != lanes or len(set(running)) != len(running):
            problems.append(
                Problem(f"heat {place}", str(list(heat)), f"{lanes} lanes, no car twice")
            )
    if not all(1 <= lane <= lanes for lane in closed_lanes):
        problems.append(Problem("closed lanes", str(sorted(closed_lanes)), f"1 to {lanes}"))
    if len(set(closed_lanes)) >= lanes:
        problems.append(Problem("closed lanes", "all of them", "at least one lane left open"))
    if rounds < 1:
        problems.append(Problem("rounds", str(rounds), "1 or more"))
    if problems:
        raise InvalidInput(problems)
