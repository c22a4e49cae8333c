"""Answer how to run cars in heats."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillbench.racing.schedule import Schedule, draw_schedule


@dataclass(frozen=True, slots=True)
class MeetingsAnswer:
    """How often pairs of cars meet.

    Attributes
    ----------
    least, most
        Least and most meetings of any pair.
    bound_least, bound_most
        The mean rounded down and up: no schedule has a higher least or a lower most.
    """

    least: int
    most: int
    bound_least: int
    bound_most: int


@dataclass(frozen=True, slots=True)
class HeatsAnswer:
    """Heats in the order to run them.

    Attributes
    ----------
    heats
        Car numbers by lane, 0 for an empty lane.
    lane_counts
        How often each car runs on each lane, by car.
    pair_meetings
        How often pairs meet.
    back_to_back
        How often a car runs in two heats running.
    exact
        Whether lanes are equal and, for the aims in force, more even meetings are proven
        impossible.
    """

    heats: tuple[tuple[int, ...], ...]
    lane_counts: tuple[tuple[int, ...], ...]
    pair_meetings: MeetingsAnswer
    back_to_back: int
    exact: bool


def draw_heats(
    cars: int, lanes: int, rounds: int = 1, seed: int = 64, *, meet_equally: bool = False
) -> HeatsAnswer:
    """Return heats in which every car runs `rounds` times on every lane.

    Parameters
    ----------
    cars, lanes, rounds
        Numbers of cars, lanes and runs of each car on each lane.
    seed
        The same seed gives the same heats; 0 or more.
    meet_equally
        Whether equal meetings go before rest between runs.

    Raises
    ------
    InvalidInput
        For a number that is not allowed.
    """
    rng = np.random.default_rng(seed)
    return heats_answer(draw_schedule(cars, lanes, rounds, rng=rng, meet_equally=meet_equally))


def heats_answer(schedule: Schedule) -> HeatsAnswer:
    """Return a schedule in the form of the answer."""
    met = schedule.meetings
    return HeatsAnswer(
        schedule.heats,
        schedule.lane_counts,
        MeetingsAnswer(met.least, met.most, met.bound_least, met.bound_most),
        schedule.back_to_back,
        schedule.exact,
    )


def tell_heats(answer: HeatsAnswer) -> str:
    """Return what the heats are worth, in words."""
    met = answer.pair_meetings
    times = f"{met.least}" if met.least == met.most else f"{met.least} to {met.most}"
    rest = (
        "no car runs in two heats running"
        if answer.back_to_back == 0
        else f"cars run in two heats running {answer.back_to_back} times"
    )
    proven = ", which is proven the best possible" if answer.exact else ""
    even = len({count for row in answer.lane_counts for count in row}) == 1
    lanes = "Every car runs equally often on every lane" if even else "Lanes are not equal"
    return f"{lanes}; {rest}; each two cars meet {times} times{proven}."
