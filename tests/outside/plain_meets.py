"""Meets simulated one by one in plain Python: the study of formats, written a second time."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from statistics import fmean, stdev

import numpy as np
from scipy.optimize import minimize

from hillbench.racing.counts import Heat
from hillbench.racing.field import Field

Ranking = list[float]


class PlainMeet:
    """One meet: true times of cars and lanes, and runs drawn one at a time."""

    def __init__(self, field: Field, dice: random.Random) -> None:
        self.field, self.dice = field, dice
        self.cars = [dice.gauss(0.0, field.car_sd_s) for _ in range(field.cars)]
        self.lanes = [dice.gauss(0.0, field.lane_sd_s) for _ in range(field.lanes)]

    def heat(self, cars: Sequence[int]) -> list[float | None]:
        """Run cars, numbered from 0, on the lanes from the first."""
        field, dice = self.field, self.dice
        same = dice.gauss(0.0, field.heat_sd_s)
        times: list[float | None] = []
        for lane, car in enumerate(cars):
            time_s = self.cars[car] + self.lanes[lane] + same + dice.gauss(0.0, field.run_sd_s)
            if dice.random() < field.bad_rate:
                time_s += dice.expovariate(1.0 / field.bad_mean_s)
            times.append(None if dice.random() < field.no_finish_rate else time_s)
        return times

    def duel(self, first: int, second: int) -> tuple[int, int]:
        """Return winner and loser; the cars draw lanes, and lots if neither finishes."""
        pair = [first, second]
        self.dice.shuffle(pair)
        a, b = self.heat(pair)
        if a is None and b is None:
            pair.sort(key=lambda _: self.dice.random())
        elif a is None or (b is not None and b < a):
            pair.reverse()
        return pair[0], pair[1]


def average_ranks(scores: Sequence[float]) -> Ranking:
    """Return ranks, 1 for the least score; equal scores share the mean."""
    return [
        sum(other < one for other in scores) + (sum(other == one for other in scores) + 1) / 2.0
        for one in scores
    ]


def points(meet: PlainMeet, heats: Sequence[Heat]) -> Ranking:
    total = [0.0] * meet.field.cars
    for heat in heats:
        times = meet.heat([car - 1 for car in heat])
        finished = sorted(
            (time_s, car - 1) for time_s, car in zip(times, heat, strict=True) if time_s is not None
        )
        for place, (_, car) in enumerate(finished):
            total[car] -= len(heat) - place
    return average_ranks(total)


def single(meet: PlainMeet, _heats: Sequence[Heat]) -> Ranking:
    left = list(range(meet.field.cars))
    meet.dice.shuffle(left)
    rank = [1.0] * meet.field.cars
    while len(left) > 1:
        ends = [meet.duel(a, b) for a, b in zip(left[::2], left[1::2], strict=True)]
        for _, loser in ends:
            rank[loser] = len(left) / 2 + (len(left) / 2 + 1) / 2.0
        left = [winner for winner, _ in ends]
    return rank


def double_of_four(meet: PlainMeet, _heats: Sequence[Heat]) -> Ranking:
    a, b, c, d = meet.dice.sample(range(4), 4)
    w1, l1 = meet.duel(a, b)
    w2, l2 = meet.duel(c, d)
    top, fallen = meet.duel(w1, w2)
    third, fourth = meet.duel(l1, l2)
    challenger, third = meet.duel(third, fallen)
    winner, loser = meet.duel(top, challenger)
    if winner == challenger:
        winner, loser = meet.duel(top, challenger)
    rank = [0.0] * 4
    for place, car in enumerate((winner, loser, third, fourth), start=1):
        rank[car] = place
    return rank


def pairs(meet: PlainMeet, _heats: Sequence[Heat]) -> Ranking:
    wins = [0.0] * meet.field.cars
    for first in range(meet.field.cars):
        for second in range(first):
            wins[meet.duel(first, second)[0]] -= 1.0
    return average_ranks(wins)


def timed(meet: PlainMeet, heats: Sequence[Heat]) -> Ranking:
    rows = [
        (number, lane, heat[lane] - 1, time_s)
        for number, heat in enumerate(heats)
        for lane, time_s in enumerate(meet.heat([car - 1 for car in heat]))
        if time_s is not None
    ]
    return average_ranks(list(mode_of(meet.field, rows, len(heats))))


def mode_of(
    field: Field, rows: Sequence[tuple[int, int, int, float]], heats: int
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Return the cars' part of the mode of the posterior, by a general optimiser."""
    heat, lane, car, time_s = (np.array(column) for column in zip(*rows, strict=True))
    design = np.zeros((len(rows), 1 + field.cars + field.lanes + heats))
    at = np.arange(len(rows))
    design[:, 0] = 1.0
    for first, level in ((1, car), (1 + field.cars, lane), (1 + field.cars + field.lanes, heat)):
        design[at, first + level] = 1.0
    sizes = [1, field.cars, field.lanes, heats]
    precision = np.repeat(
        [0.0, field.car_sd_s**-2, field.lane_sd_s**-2, field.heat_sd_s**-2], sizes
    )

    def target(effects: np.ndarray) -> tuple[float, np.ndarray]:
        left = time_s - design @ effects
        inside = 1.0 + (left / field.run_sd_s) ** 2 / 4.0
        value = 2.5 * np.log(inside).sum() + 0.5 * precision @ effects**2
        pull = 2.5 * left / (2.0 * field.run_sd_s**2) / inside
        return float(value), -design.T @ pull + precision * effects

    start = np.zeros(design.shape[1])
    start[0] = np.median(time_s)
    found = minimize(target, start, jac=True, method="L-BFGS-B", options={"maxiter": 2000})
    return np.asarray(found.x[1 : 1 + field.cars])


def over_a_season(
    rank: Callable[[PlainMeet, Sequence[Heat]], Ranking], count: int
) -> Callable[[PlainMeet, Sequence[Heat]], Ranking]:
    """Return a ranking by the sum of places in `count` meets of the same cars."""

    def of_season(meet: PlainMeet, heats: Sequence[Heat]) -> Ranking:
        places = [rank(meet, heats) for _ in range(count)]
        return average_ranks([sum(car) for car in zip(*places, strict=True)])

    return of_season


def simulate(
    field: Field,
    rank: Callable[[PlainMeet, Sequence[Heat]], Ranking],
    heats: Sequence[Heat],
    meets: int,
    seed: int,
) -> tuple[float, float, float, float]:
    """Return chance that the fastest wins and mean rank error, each with its standard error."""
    dice = random.Random(seed)
    wins, errors = [], []
    for _ in range(meets):
        meet = PlainMeet(field, dice)
        got, true = rank(meet, heats), average_ranks(meet.cars)
        best = [car for car in range(field.cars) if got[car] == min(got)]
        wins.append(float(true[dice.choice(best)] == 1.0))
        errors.append(fmean(abs(a - b) for a, b in zip(got, true, strict=True)))
    return fmean(wins), stdev(wins) / meets**0.5, fmean(errors), stdev(errors) / meets**0.5
