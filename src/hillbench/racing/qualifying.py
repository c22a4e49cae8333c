"""Two timed runs for everyone, and who goes on to a final."""

from __future__ import annotations

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.counts import EMPTY, Heat
from hillbench.racing.schedule import MOST_CARS, MOST_LANES
from hillbench.racing.timed_result import TimedResult


def two_run_heats(cars: int, lanes: int) -> tuple[Heat, ...]:
    """Return heats in which each car runs twice, the second time beside others.

    Parameters
    ----------
    cars
        Number of cars, 1 to 200.
    lanes
        Number of lanes, 1 to 8.

    Raises
    ------
    InvalidInput
        For a number that is not allowed.
    """
    limits = (("cars", cars, MOST_CARS), ("lanes", lanes, MOST_LANES))
    wrong = [
        Problem(where, str(seen), f"1 to {most}")
        for where, seen, most in limits
        if not 1 <= seen <= most
    ]
    if wrong:
        raise InvalidInput(wrong)
    heats = -(-cars // lanes)
    places = [*range(1, cars + 1), *[EMPTY] * (heats * lanes - cars)]
    first = [tuple(places[heat * lanes : (heat + 1) * lanes]) for heat in range(heats)]
    # By rows, then by columns, each heat moved on, so that rivals and lanes change.
    second = []
    for heat in range(heats):
        column = places[heat::heats]
        turn = (heat + 1) % lanes
        second.append(tuple(column[turn:] + column[:turn]))
    return (*first, *second)


def finalists(result: TimedResult, count: int) -> tuple[int, ...]:
    """Return the fastest cars by the model, at most `count` of those with a time."""
    timed = [one.car for one in result.standings if one.typical_time_s is not None]
    return tuple(timed[:count])
