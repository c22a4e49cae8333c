"""Tests at the bench as the fit takes them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from hillbench.coasting.coast_out import scattered_distance_m
from hillbench.coasting.roll_series import AimedRoll, AxleSteer, read_rolls
from hillbench.coasting.spin_down import SpinDown, read_spin_down
from hillbench.fitting import readings as measured
from hillbench.fitting.evidence import KnownCar
from hillbench.records.bench_test_entities import (
    CoastOutRecord,
    RollTestRecord,
    Travel,
    Turned,
    Way,
)
from hillbench.uncertainty import Estimate
from hillbench.usecases.bearing_states import FrictionRead
from hillbench.usecases.car_then import CarThen

ENTRY_SPEED_SPREAD: Final = 0.05
"""Relative uncertainty of an entry speed where nobody said: common practice, no source."""

_SPIN_TURNS_PER_S: Final = 10.0
_SPIN_SPREAD: Final = 0.03
"""Relative uncertainty of the stop time of a spin-down: common practice, no source."""

_ROLLED_M: Final = 1.0


def spin_test(known: KnownCar, read: FrictionRead, gravity_m_s2: float) -> measured.SpinTest:
    """Return the spin-down that gives a bearing friction.

    Parameters
    ----------
    known
        The car.
    read
        The friction, and how far it is known.
    gravity_m_s2
        Acceleration of free fall, m/s².

    Notes
    -----
    With Coulomb friction it goes as 1/stop time, so that the stop time follows from any start
    speed. What all spin-downs of the car share is written as the uncertainty of its inertia
    factor, to which the friction is proportional.
    """
    car = known.car
    spin = SpinDown(
        Estimate(car.wheel_inertia_factor, 0.0),
        Estimate(car.wheel_diameter_mm, 0.0),
        Estimate(car.axle_diameter_mm, 0.0),
        Estimate(_SPIN_TURNS_PER_S, 0.0),
        Estimate(1.0, 0.0),
    )
    stop_time_s = read_spin_down(spin, gravity_m_s2).bearing_friction.value / read.friction
    if read.spreads is None:
        return measured.SpinTest(
            car=known.name,
            start_turns_per_s=_SPIN_TURNS_PER_S,
            stop_time_s=stop_time_s,
            stop_time_uncertainty_s=_SPIN_SPREAD * stop_time_s,
            state=read.state,
        )
    own, shared = read.spreads
    return measured.SpinTest(
        car=known.name,
        start_turns_per_s=_SPIN_TURNS_PER_S,
        stop_time_s=stop_time_s,
        stop_time_uncertainty_s=own * stop_time_s,
        wheel_inertia_factor_uncertainty=shared * car.wheel_inertia_factor,
        axle_diameter_uncertainty_mm=0.0,
        wheel_diameter_uncertainty_mm=0.0,
        state=read.state,
    )


def read_roll_tests(tests: Sequence[RollTestRecord], wheelbase_mm: float) -> AxleSteer:
    """Return how a car steers from its roll tests since its axles were set, in any order."""
    ordered = sorted(tests, key=lambda test: (test.at, test.id))
    rolls = [
        AimedRoll(
            roll.length_m,
            roll.drift_mm,
            tail_first=roll.travel is Travel.TAIL_FIRST,
            back=roll.way is Way.BACK,
            front_turned=roll.turned in {Turned.FRONT, Turned.BOTH},
            rear_turned=roll.turned in {Turned.REAR, Turned.BOTH},
            drift_uncertainty_mm=test.drift_uncertainty_mm,
            aim_uncertainty_deg=test.aim_uncertainty_deg,
            sitting=sitting,
        )
        for sitting, test in enumerate(ordered)
        for roll in test.rolls
    ]
    return read_rolls(rolls, wheelbase_mm)


def roll_test(known: KnownCar, tests: Sequence[RollTestRecord]) -> measured.RollTest:
    """Return one roll over a metre that says of the steer what all these tests said."""
    curvature = read_roll_tests(tests, known.car.wheelbase_mm).steer.curvature_1_m
    drift_mm_of = 1e3 * _ROLLED_M**2 / 2.0
    return measured.RollTest(
        car=known.name,
        length_m=_ROLLED_M,
        drift_mm=curvature.value * drift_mm_of,
        drift_uncertainty_mm=curvature.standard_uncertainty * drift_mm_of,
        aim_uncertainty_deg=0.0,
    )


def coast_out(known: KnownCar, then: CarThen, test: CoastOutRecord) -> measured.CoastOut:
    """Return a coast-out of a car as it was then."""
    distance = scattered_distance_m(test.distances_m)
    speed = test.entry_speed_m_s
    spread = test.entry_speed_uncertainty_m_s
    if spread is None:
        spread = ENTRY_SPEED_SPREAD * (speed or 0.0)
    return measured.CoastOut(
        car=known.name,
        distance_m=distance.value,
        distance_uncertainty_m=distance.standard_uncertainty,
        entry_speed_m_s=speed,
        entry_speed_uncertainty_m_s=spread,
        level_uncertainty_deg=test.level_uncertainty_deg,
        surface=measured.TRACK if test.track_version_id is not None else f"floor: {test.surface}",
        state=then.state,
        mass_g=then.car.mass_g,
        cg_ahead_of_rear_axle_mm=then.car.cg_ahead_of_rear_axle_mm,
    )
