"""Judge the spin-downs of a car: what each round of work on its bearings gained."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from hillbench.coasting.car import Car
from hillbench.coasting.spin_rounds import (
    RoundChange,
    Scatter,
    WheelPair,
    judge_car,
    judge_round,
)
from hillbench.coasting.spin_series import SpinSeries, StartSource
from hillbench.records.bench_test_entities import Wheel
from hillbench.uncertainty import Estimate
from hillbench.usecases.hill_of_car import HillOfCar, seconds_per_log_friction
from hillbench.usecases.spin_tests import CarRound, car_friction, load_shares, scatter_of

WHAT_MATTERS_S: Final = 0.02
"""Time below which nobody cares where nobody said: common practice, no source."""

MATTERS_WITHOUT_HILL: Final = 0.05
"""Relative fall of the friction that matters where there is no hill to tell: common practice, no
source."""

_RANGE_OF_MATTERS: Final = (0.01, 0.5)
_NINETY_PERCENT: Final = 1.645


@dataclass(frozen=True, slots=True)
class WhatMatters:
    """How much less friction is worth a round.

    Attributes
    ----------
    share
        Relative fall of the friction in all bearings.
    seconds
        Time it is worth; None where there is no hill to tell.
    track_name
        On which hill; empty where there is none.
    seconds_per_log
        Time that the logarithm of the friction is worth there, s; None where there is none.
    """

    share: float
    seconds: float | None
    track_name: str
    seconds_per_log: float | None


@dataclass(frozen=True, slots=True)
class WheelPoint:
    """One wheel in one round.

    Attributes
    ----------
    name
        The state of the bearing in words.
    at
        When it was spun last.
    friction
        Bearing friction with its whole uncertainty.
    low, high
        90 % interval without what every spin-down of the car shares: rounds are compared by it.
    spins
        Number of spins.
    start
        Where the start speed comes from.
    viscous_share
        Part of the energy that viscous friction took; None where it cannot be told.
    """

    name: str
    at: datetime
    friction: Estimate
    low: float
    high: float
    spins: int
    start: StartSource
    viscous_share: float | None


@dataclass(frozen=True, slots=True)
class WheelRounds:
    """One wheel through all its rounds, and what the last of them changed.

    Attributes
    ----------
    wheel
        Which wheel.
    points
        Its rounds, earliest first.
    change
        What the last changed against the one before; None where there is only one.
    """

    wheel: Wheel
    points: tuple[WheelPoint, ...]
    change: RoundChange | None


@dataclass(frozen=True, slots=True)
class SpinsJudged:
    """What the spin-downs of a car say.

    Attributes
    ----------
    wheels
        The wheels that were spun; what matters on one wheel alone is what is worth as much time.
    rounds
        Names of the rounds, earliest first.
    change
        What the last round changed on the wheels together; None where no wheel was spun in it
        and in the one before.
    friction
        Friction of the whole car in its last round.
    matters
        How much less friction is worth a round.
    scatter_spread
        Standard deviation of the logarithm of the friction from spin to spin.
    """

    wheels: tuple[WheelRounds, ...]
    rounds: tuple[str, ...]
    change: RoundChange | None
    friction: Estimate
    matters: WhatMatters
    scatter_spread: float

    @property
    def gained_s(self) -> tuple[float, float, float] | None:
        """Time that the last round gained on the hill, and its 90 % interval, s."""
        if self.change is None or self.matters.seconds_per_log is None:
            return None
        per_log = self.matters.seconds_per_log
        ratios = (self.change.ratio, self.change.ratio_high, self.change.ratio_low)
        middle, low, high = (-per_log * math.log(ratio) for ratio in ratios)
        return middle, low, high


def judge_spin_downs(
    rounds: Sequence[CarRound],
    car: Car,
    hill: HillOfCar | None,
    matters_share: float = MATTERS_WITHOUT_HILL,
) -> SpinsJudged | None:
    """Return what spin-downs say; None where there is none.

    Parameters
    ----------
    rounds
        Rounds of the car, earliest first.
    car
        The car as it is now.
    hill
        The hill that tells what friction is worth; None where there is none.
    matters_share
        Relative fall of the friction in all bearings that matters where there is no hill.
    """
    if not rounds:
        return None
    scatter = scatter_of(rounds)
    friction = car_friction(rounds[-1], car, scatter).friction
    matters = _what_matters(friction.value, hill, matters_share)
    spun = [wheel for wheel in Wheel if any(wheel in one.wheels for one in rounds)]
    return SpinsJudged(
        wheels=tuple(
            _wheel(wheel, rounds, scatter, _matters_alone(matters.share, load_shares(car)[wheel]))
            for wheel in spun
        ),
        rounds=tuple(one.name for one in rounds),
        change=_car_change(rounds, car, scatter, matters.share),
        friction=friction,
        matters=matters,
        scatter_spread=scatter.spread,
    )


def _what_matters(friction: float, hill: HillOfCar | None, without_hill: float) -> WhatMatters:
    per_log = None if hill is None else seconds_per_log_friction(hill, friction)
    if hill is None or per_log is None or not per_log > 0.0:
        return WhatMatters(without_hill, None, "", None)
    seconds = hill.matters_s or WHAT_MATTERS_S
    least, most = _RANGE_OF_MATTERS
    share = min(max(-math.expm1(-seconds / per_log), least), most)
    return WhatMatters(share, seconds, hill.track_name, per_log)


def _matters_alone(share: float, load_share: float) -> float:
    """Return the fall of the friction of one wheel alone that is worth as much time."""
    return min(-math.expm1(math.log1p(-share) / max(load_share, 0.05)), _RANGE_OF_MATTERS[1])


def _wheel(
    wheel: Wheel, rounds: Sequence[CarRound], scatter: Scatter, matters: float
) -> WheelRounds:
    spun = [one for one in rounds if wheel in one.wheels]
    change = None
    if len(spun) > 1:
        before, after = (one.wheels[wheel] for one in spun[-2:])
        change = judge_round(before, after, scatter, matters)
    points = tuple(_point(one, one.wheels[wheel], scatter) for one in spun)
    return WheelRounds(wheel, points, change)


def _point(one: CarRound, series: SpinSeries, scatter: Scatter) -> WheelPoint:
    middle = series.mean_log_friction
    own = math.hypot(scatter.spread / math.sqrt(len(series.log_frictions)), series.own_spread)
    return WheelPoint(
        name=one.name,
        at=one.at,
        friction=series.friction(scatter.spread),
        low=math.exp(middle - _NINETY_PERCENT * own),
        high=math.exp(middle + _NINETY_PERCENT * own),
        spins=len(series.log_frictions),
        start=series.start,
        viscous_share=series.viscous_share,
    )


def _car_change(
    rounds: Sequence[CarRound], car: Car, scatter: Scatter, matters: float
) -> RoundChange | None:
    if len(rounds) < 2:
        return None
    before, after = rounds[-2:]
    shares = load_shares(car)
    pairs = [
        WheelPair(shares[wheel] * math.exp(series.mean_log_friction), series, after.wheels[wheel])
        for wheel, series in before.wheels.items()
        if wheel in after.wheels
    ]
    return judge_car(pairs, scatter, matters) if pairs else None
