"""Simulated truths for trying the timing methods: known cars, tracks and mishaps."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from hillbench.timing.run import TimedRun
from hillbench.timing.run_order import run_order

TYPICAL_S = 10.5
LANES = 2


@dataclass(frozen=True)
class Truth:
    """What a comparison is drawn from.

    Attributes
    ----------
    gap_s
        Time of car B less that of car A.
    spread_s
        Standard deviation of one clean run.
    bad_share
        Share of runs that lose Exp(0.3 s), or more in the condition of big bad runs.
    bad_s
        Mean loss of a bad run.
    drift_s
        Drift from one run to the next.
    lanes_s
        What each lane adds.
    """

    gap_s: float
    spread_s: float
    bad_share: float = 0.0
    bad_s: float = 0.3
    drift_s: float = 0.0
    lanes_s: tuple[float, ...] = (0.0, 0.0)


CONDITIONS = ("clean", "big bad runs", "drift, cars in blocks", "lanes never swapped")


def draw_truth(rng: np.random.Generator, condition: str) -> Truth:
    """Return a truth: spread from 0.02 to 0.12 s, gap with standard deviation 0.08 s."""
    gap, spread = float(rng.normal(0.0, 0.08)), float(np.exp(rng.uniform(*np.log([0.02, 0.12]))))
    if condition == "big bad runs":
        return Truth(gap, spread, bad_share=0.10, bad_s=0.6)
    if condition == "drift, cars in blocks":
        return Truth(gap, spread, drift_s=float(rng.normal(0.0, 0.01)))
    if condition == "lanes never swapped":
        lanes = rng.normal(0.0, 0.03, LANES)
        return Truth(gap, spread, lanes_s=(float(lanes[0]), float(lanes[1])))
    return Truth(gap, spread)


def order_of(condition: str, runs_each: int) -> list[tuple[str, int]]:
    """Return car and lane of each run in order."""
    if condition == "drift, cars in blocks":
        return [("A", 1)] * runs_each + [("B", 1)] * runs_each
    if condition == "lanes never swapped":
        cars = [turn.car for turn in run_order("AB", runs_each)]
        return [(car, 1 + "AB".index(car)) for car in cars]
    return [(turn.car, 1) for turn in run_order("AB", runs_each)]


def draw_runs(
    truth: Truth, order: list[tuple[str, int]], rng: np.random.Generator
) -> list[TimedRun]:
    """Return the times of runs in order, to the thousandth of a second."""
    return list(_drawn(truth, order, rng))


def _drawn(
    truth: Truth, order: list[tuple[str, int]], rng: np.random.Generator
) -> Iterator[TimedRun]:
    for place, (car, lane) in enumerate(order):
        time_s = TYPICAL_S + truth.spread_s * rng.normal()
        time_s += truth.gap_s * (car == "B") + truth.drift_s * place + truth.lanes_s[lane - 1]
        if rng.random() < truth.bad_share:
            time_s += rng.exponential(truth.bad_s)
        yield TimedRun(car, round(float(time_s), 3), lane=str(lane), order=place + 1.0)


WEARS = ("nothing else", "wears in", "wears out", "track gets slower")


def change_order(layout: str, runs_each: int) -> list[str]:
    """Return the order of before (b), after (a) and control (c)."""
    if layout == "swap":
        return [turn.car for turn in run_order("ba", runs_each)]
    if layout == "control":
        return ["b", "c"] * runs_each + ["c", "a"] * runs_each
    return ["b"] * runs_each + ["a"] * runs_each


def draw_change(
    order: list[str], gain_s: float, wear: str, rng: np.random.Generator
) -> list[TimedRun]:
    """Return runs before and after a change, with a spread of 0.05 s and 5 % bad runs.

    Wearing in fades from 0.12 s with exp(−t/4); wearing out costs 0.012 s a run; the track
    gets slower by 0.006 s a run. Wear counts a car's own runs.
    """
    done = {"test": 0, "c": 0}
    runs = []
    for place, car in enumerate(order):
        who = "c" if car == "c" else "test"
        time_s = TYPICAL_S + 0.05 * rng.normal() - gain_s * (car == "a")
        if wear == "wears in":
            time_s += 0.12 * np.exp(-done[who] / 4.0)
        elif wear == "wears out":
            time_s += 0.012 * done[who]
        elif wear == "track gets slower":
            time_s += 0.006 * place
        if rng.random() < 0.05:
            time_s += rng.exponential(0.3)
        done[who] += 1
        runs.append(TimedRun(car, round(float(time_s), 3)))
    return runs
