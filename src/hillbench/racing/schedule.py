"""Heats for a meet: lanes equal, then rest, then equal meetings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.annealed import annealed_table
from hillbench.racing.counts import (
    Heat,
    PairMeetings,
    count_back_to_back,
    count_lanes,
    meetings_of,
)
from hillbench.racing.cyclic import Ints, cyclic_table
from hillbench.racing.proof import is_proven_best

MOST_CARS: Final = 200
MOST_LANES: Final = 8
MOST_ROUNDS: Final = 12


@dataclass(frozen=True, slots=True)
class Schedule:
    """Heats in the order to run them, and what they are worth.

    Attributes
    ----------
    cars, lanes, rounds
        Its size; in each round every car runs once on every lane.
    heats
        Car numbers by lane, from 1; 0 is an empty lane.
    lane_counts
        How often each car runs on each lane, by car.
    meetings
        How evenly the pairs meet.
    back_to_back
        How often a car runs in two heats running.
    exact
        Whether lanes are equal and no schedule of these aims has more even meetings, proven.
    """

    cars: int
    lanes: int
    rounds: int
    heats: tuple[Heat, ...]
    lane_counts: tuple[tuple[int, ...], ...]
    meetings: PairMeetings
    back_to_back: int
    exact: bool


def draw_schedule(
    cars: int,
    lanes: int,
    rounds: int = 1,
    *,
    rng: np.random.Generator,
    meet_equally: bool = False,
) -> Schedule:
    """Return heats in which every car runs `rounds` times on every lane.

    Parameters
    ----------
    cars
        Number of cars, 1 to 200.
    lanes
        Number of lanes, 1 to 8.
    rounds
        How often each car runs on each lane, 1 to 12.
    rng
        Source of randomness; the same state gives the same heats.
    meet_equally
        Whether equal meetings go before rest. Otherwise no car runs in two heats running
        where there are more than twice as many cars as lanes.

    Raises
    ------
    InvalidInput
        For a number that is not allowed.

    Notes
    -----
    The aims, in order: every car equally often on every lane, which is always reached; no car
    twice running, where there are at least 2 `lanes` + 1 cars; pairs that meet equally often.
    """
    _check(cars, lanes, rounds)
    rest_first = cars >= 2 * lanes + 1 and not meet_equally
    if cars <= lanes:
        table = _rotation(cars, lanes, rounds)
    else:
        found = cyclic_table(cars, lanes, rounds, rng, rest_first=rest_first)
        if found is None:
            found = annealed_table(cars, lanes, rounds, rng, rest_first=rest_first)
        table = found
    numbers = np.append(rng.permutation(cars) + 1, 0)
    heats = tuple(tuple(int(number) for number in row) for row in numbers[table])
    return _judged(heats, cars, lanes, rounds, rest_first=rest_first)


def _judged(
    heats: tuple[Heat, ...], cars: int, lanes: int, rounds: int, *, rest_first: bool
) -> Schedule:
    meetings = meetings_of(heats, cars)
    back_to_back = count_back_to_back(heats, cars)
    counts = count_lanes(heats, cars, lanes)
    rested = rest_first and back_to_back == 0
    best = is_proven_best(meetings, cars, lanes, rounds, rest_first=rested)
    exact = best and bool((counts == rounds).all()) and (rested or not rest_first)
    return Schedule(
        cars,
        lanes,
        rounds,
        heats,
        tuple(tuple(int(count) for count in row) for row in counts),
        meetings,
        back_to_back,
        exact,
    )


def _rotation(cars: int, lanes: int, rounds: int) -> Ints:
    """Return heats of all cars, who move on by one lane each time; the rest stays empty."""
    table = np.full((lanes, lanes), cars, dtype=np.int32)
    for heat in range(lanes):
        table[heat, (np.arange(cars) + heat) % lanes] = np.arange(cars)
    return np.tile(table, (rounds, 1))


def _check(cars: int, lanes: int, rounds: int) -> None:
    limits = (("cars", cars, MOST_CARS), ("lanes", lanes, MOST_LANES))
    problems = [
        Problem(where, str(seen), f"1 to {most}")
        for where, seen, most in (*limits, ("rounds", rounds, MOST_ROUNDS))
        if not 1 <= seen <= most
    ]
    if problems:
        raise InvalidInput(problems)
