"""Spin-downs of the wheels of a car, put together into rounds of work on its bearings."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from hillbench.coasting.car import Car
from hillbench.coasting.spin_rounds import USUAL_SPREAD, Scatter, pool_scatter
from hillbench.coasting.spin_series import SpinSeries, SpinSet, loaded_mean, read_spins
from hillbench.records.bench_test_entities import SpinDownTest, SpinTimedBy, Wheel
from hillbench.uncertainty import Estimate
from hillbench.usecases.check_entry import PHONE_UNCERTAINTY_S

INERTIA_SPREAD: Final = 0.10
"""Relative uncertainty of a wheel's inertia factor: common practice, no source."""

WHEEL_UNCERTAINTY_MM: Final = 0.05
AXLE_UNCERTAINTY_MM: Final = 0.02
"""Standard uncertainties of the two diameters by a calliper: common practice, no source."""

SAME_SITTING: Final = timedelta(hours=12)
"""Rounds of one lubricant so close together are one piece of work; the last of them counts."""


@dataclass(frozen=True, slots=True)
class CarRound:
    """The wheels of a car that were spun in one state of its bearings.

    Attributes
    ----------
    lubricant, number
        The lubricant and how many rounds of it the bearings had.
    at
        When the last of its wheels was spun.
    wheels
        What each wheel that was spun said.
    tests
        The tests it is made of, earliest first.
    """

    lubricant: str
    number: int
    at: datetime
    wheels: Mapping[Wheel, SpinSeries]
    tests: tuple[SpinDownTest, ...]

    @property
    def name(self) -> str:
        """The state of the bearings in words."""
        return state_name(self.lubricant, self.number)


@dataclass(frozen=True, slots=True)
class CarFriction:
    """Bearing friction of a whole car in one round.

    Attributes
    ----------
    log_friction
        Its logarithm; the uncertainty is what this round shares with no other.
    shared_spread
        Uncertainty of the logarithm that every spin-down of the car shares.
    """

    log_friction: Estimate
    shared_spread: float

    @property
    def friction(self) -> Estimate:
        """The friction with its whole uncertainty."""
        value = math.exp(self.log_friction.value)
        spread = math.hypot(self.log_friction.standard_uncertainty, self.shared_spread)
        return Estimate(value, value * spread)


def state_name(lubricant: str, number: int) -> str:
    """Return a state of the bearings in words: dry, graphite, round 2."""
    return f"{lubricant}, round {number}" if number else lubricant


def load_shares(car: Car) -> dict[str, float]:
    """Return the part of the load on each wheel of a car that stands level."""
    front = car.cg_ahead_of_rear_axle_mm / car.wheelbase_mm / 2.0
    return {
        Wheel.FRONT_LEFT: front,
        Wheel.FRONT_RIGHT: front,
        Wheel.REAR_LEFT: 0.5 - front,
        Wheel.REAR_RIGHT: 0.5 - front,
    }


def wheel_series(test: SpinDownTest, car: Car) -> SpinSeries:
    """Return what a spin-down says of a wheel of a car; raises `InvalidInput` if it cannot be."""
    return read_spins(
        SpinSet(
            wheel_inertia_factor=Estimate(
                car.wheel_inertia_factor, INERTIA_SPREAD * car.wheel_inertia_factor
            ),
            wheel_diameter_mm=Estimate(car.wheel_diameter_mm, WHEEL_UNCERTAINTY_MM),
            axle_diameter_mm=Estimate(car.axle_diameter_mm, AXLE_UNCERTAINTY_MM),
            stop_times_s=test.stop_times_s,
            start_turns_per_s=test.start_turns_per_s,
            start_uncertainty_turns_per_s=test.start_uncertainty_turns_per_s,
            turns=test.turns,
        )
    )


def car_rounds(
    tests: Sequence[SpinDownTest], car_at: Callable[[datetime], Car]
) -> tuple[CarRound, ...]:
    """Return the rounds of a car, earliest first.

    Parameters
    ----------
    tests
        Spin-downs of one car in any order.
    car_at
        Gives the car as it was at a moment.

    Notes
    -----
    Tests one after the other with the same lubricant and number of rounds are one round, unless
    half a day lies between them.
    """
    rounds: list[list[SpinDownTest]] = []
    for test in sorted(tests, key=lambda one: (one.at, one.id)):
        if rounds and _same_state(rounds[-1][-1], test):
            rounds[-1].append(test)
        else:
            rounds.append([test])
    return tuple(_round(group, car_at) for group in rounds)


def scatter_of(rounds: Sequence[CarRound]) -> Scatter:
    """Return how frictions scatter from spin to spin, from all rounds of a car.

    Notes
    -----
    What is believed beforehand holds the hand on the watch: 0.1 s of a spin that takes one
    second are 10 %.
    """
    tests = [test for one in rounds for test in one.tests]
    squares = [USUAL_SPREAD**2 + _hand_spread(test) ** 2 for test in tests]
    usual = math.sqrt(math.fsum(squares) / len(squares)) if squares else USUAL_SPREAD
    spins = (wheel.log_frictions for one in rounds for wheel in one.wheels.values())
    return pool_scatter(spins, usual)


def car_friction(one: CarRound, car: Car, scatter: Scatter) -> CarFriction:
    """Return the bearing friction of a whole car in one round.

    Notes
    -----
    The wheels are weighted with their load and their friction; each wheel has its own scatter,
    what all spin-downs share does not average out.
    """
    shares = load_shares(car)
    means = {str(wheel): series.mean_log_friction for wheel, series in one.wheels.items()}
    mean = loaded_mean(means, shares)
    weights = {wheel: shares[wheel] * math.exp(means[wheel]) for wheel in one.wheels}
    whole = math.fsum(weights.values())
    own = [
        weights[wheel]
        / whole
        * math.hypot(series.own_spread, scatter.spread / math.sqrt(len(series.log_frictions)))
        for wheel, series in one.wheels.items()
    ]
    shared = max(
        math.hypot(series.shape_spread, series.start_spread) for series in one.wheels.values()
    )
    return CarFriction(
        Estimate(mean.value, math.hypot(mean.standard_uncertainty, *own)), shared_spread=shared
    )


def last_of_sittings(rounds: Sequence[CarRound]) -> tuple[CarRound, ...]:
    """Return the rounds without those that another round of the same lubricant soon followed."""
    return tuple(
        one
        for place, one in enumerate(rounds)
        if not any(
            later.lubricant == one.lubricant and later.at - one.at < SAME_SITTING
            for later in rounds[place + 1 : place + 2]
        )
    )


def _hand_spread(test: SpinDownTest) -> float:
    """Return the relative uncertainty of one stop time from the hand on the watch."""
    if test.timed_by is not SpinTimedBy.HAND:
        return 0.0
    mean_s = math.fsum(test.stop_times_s) / len(test.stop_times_s)
    return PHONE_UNCERTAINTY_S / mean_s


def _same_state(one: SpinDownTest, other: SpinDownTest) -> bool:
    """Return whether two tests are of one state: within one sitting, for bearings wear in."""
    alike = (one.lubricant, one.round_number) == (other.lubricant, other.round_number)
    return alike and other.at - one.at < SAME_SITTING


def _round(tests: Sequence[SpinDownTest], car_at: Callable[[datetime], Car]) -> CarRound:
    wheels: dict[Wheel, SpinSeries] = {}
    for test in tests:
        series = wheel_series(test, car_at(test.at))
        known = wheels.get(test.wheel)
        if known is not None:
            both = (*known.log_frictions, *series.log_frictions)
            series = dataclasses.replace(series, log_frictions=both)
        wheels[test.wheel] = series
    last = tests[-1]
    return CarRound(last.lubricant, last.round_number, last.at, wheels, tuple(tests))
