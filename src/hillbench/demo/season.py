"""The invented season: who ran when, and times from the coasting model with scatter."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.records.entities import RunNote
from hillbench.timing.run_order import Turn

BAD_RUNS: Final = 0.06
"""Share of runs that touch something they should not; such a run can only be slow."""

BAD_RUN_S: Final = 0.3
"""Mean delay of such a run, s."""

LOST_RUNS: Final = 0.02
"""Share of runs that end off the track or without a finish."""

BETWEEN_RUNS_S: Final = 95


@dataclass(frozen=True, slots=True)
class Outing:
    """Runs made in one go: every car `rounds` times, in the order that the clock gives.

    Attributes
    ----------
    humidity_percent
        Relative humidity of the day, %.
    cleaned
        Whether the track was cleaned before.
    lubricant_note
        What was done to the bearings; empty where the cars ran as their rounds left them.
    """

    days_ago: int
    hill: str
    cars: tuple[str, ...]
    rounds: int
    humidity_percent: float = 45.0
    cleaned: bool = False
    lubricant_note: str = ""


@dataclass(frozen=True, slots=True)
class InventedRun:
    """One run of an outing; `second` counts from its beginning."""

    second: int
    car: str
    lane: int
    finish_time_s: float | None
    note: RunNote


OUTINGS: Final = (
    Outing(56, "Garage ramp", ("Mustard",), 4),
    Outing(54, "Kettle Lane Hill", ("Mustard", "Night Ferry"), 4, 52.0, cleaned=True),
    Outing(49, "Granary Drop", ("Mustard", "Night Ferry", "Rhubarb"), 4, 61.0),
    Outing(44, "Kettle Lane Hill", ("Mustard", "Rhubarb", "Plank"), 4),
    Outing(39, "Garage ramp", ("Rhubarb", "Second Helping"), 6),
    Outing(37, "Kettle Lane Hill", ("Rhubarb", "Second Helping", "Plank", "Morning Milk"), 4),
    Outing(30, "Kettle Lane Hill", ("Mustard", "Night Ferry", "Thimble"), 4),
    Outing(28, "Granary Drop", ("Mustard", "Night Ferry", "Plank", "Thimble"), 4),
    Outing(21, "Kettle Lane Hill", ("Mustard", "Night Ferry", "Rhubarb", "Plank", "Thimble"), 4),
    Outing(17, "Garage ramp", ("Mustard", "Rhubarb"), 4),
    Outing(
        10, "Kettle Lane Hill", ("Mustard", "Night Ferry", "Rhubarb", "Morning Milk", "Thimble"), 4
    ),
    Outing(3, "Kettle Lane Hill", ("Mustard", "Night Ferry", "Morning Milk", "Second Helping"), 4),
    Outing(1, "Granary Drop", ("Morning Milk", "Night Ferry", "Mustard"), 4, 66.0, cleaned=True),
)
"""Earliest first."""


def run_outing(
    turns: Sequence[Turn],
    times_s: Mapping[str, float],
    scatter_s: float,
    lane_s: float,
    rng: np.random.Generator,
) -> Iterator[InventedRun]:
    """Return the runs of an outing in order.

    Parameters
    ----------
    turns
        Whose turn it is on which lane, in order.
    times_s
        What each car takes on that hill on that day without scatter, s.
    scatter_s
        Standard deviation from run to run, s.
    lane_s
        What each lane takes longer than the one before it, s.
    rng
        Source of the scatter.
    """
    for place, turn in enumerate(turns):
        expected_s = times_s[turn.car] + lane_s * (turn.lane - 1)
        time_s, note = _one_run(expected_s, scatter_s, rng)
        second = place * BETWEEN_RUNS_S + int(rng.integers(0, 40))
        yield InventedRun(second, turn.car, turn.lane, time_s, note)


def _one_run(
    time_s: float, scatter_s: float, rng: np.random.Generator
) -> tuple[float | None, RunNote]:
    fate, scatter, delay_s = rng.random(), rng.normal(), rng.exponential(BAD_RUN_S)
    if fate < LOST_RUNS:
        return None, RunNote.OFF_TRACK if fate < LOST_RUNS / 2.0 else RunNote.NO_FINISH
    time_s += scatter_s * scatter
    if fate < LOST_RUNS + BAD_RUNS:
        return round(time_s + delay_s, 3), RunNote.SNAG
    return round(time_s, 3), RunNote.CLEAN
