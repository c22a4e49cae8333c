"""What roll tests and spin-downs say, one figure for each car and state."""

from __future__ import annotations

import dataclasses
import math
from collections import defaultdict
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass

from hillbench import constants
from hillbench.coasting.roll_test import Roll, read_roll
from hillbench.coasting.spin_down import SpinDown, read_spin_down
from hillbench.errors import InvalidInput
from hillbench.fitting.evidence import Evidence
from hillbench.fitting.readings import SpinTest
from hillbench.uncertainty import Estimate

Steers = Mapping[str, Estimate]
"""Steer angle, degrees, by name of the car."""


def read_steers(evidence: Evidence) -> Steers:
    """Return the steer of each car that was rolled, repeated rolls weighted together.

    Notes
    -----
    Weights are the inverse variances (JCGM 100:2008, 5.1.2, for independent readings).
    """
    found: dict[str, list[Estimate]] = defaultdict(list)
    for number, test in enumerate(evidence.roll_tests):
        wheelbase = evidence.known_car(test.car).car.wheelbase_mm
        roll = Roll(
            Estimate(test.length_m, 0.0),
            Estimate(test.drift_mm, test.drift_uncertainty_mm),
            Estimate(wheelbase, 0.0),
            test.aim_uncertainty_deg,
        )
        with _at(f"roll_tests[{number}]", "roll_test"):
            found[test.car].append(read_roll(roll).steer_angle_deg)
    return {key: _weighted(estimates) for key, estimates in found.items()}


@dataclass(frozen=True, slots=True)
class SpinReading:
    """The bearing friction that one spin-down gave.

    Attributes
    ----------
    name, state
        Names of the car and of the state.
    log_friction
        Logarithm of the friction; its uncertainty is what this spin-down shares with no other.
    shared_spread
        Uncertainty of the logarithm from inertia and diameters, the same for the whole car.
    log_load
        Logarithm of the load on the bearing over the reference load.
    """

    name: str
    state: str
    log_friction: Estimate
    shared_spread: float
    log_load: float


def read_spins(evidence: Evidence) -> tuple[SpinReading, ...]:
    """Return what each spin-down says; raises `InvalidInput` for readings that cannot be."""
    return tuple(
        _read_spin(evidence, number, test) for number, test in enumerate(evidence.spin_downs)
    )


def _read_spin(evidence: Evidence, number: int, test: SpinTest) -> SpinReading:
    car = evidence.known_car(test.car).car
    turns = None if test.turns is None else Estimate(test.turns, test.turns_uncertainty)
    spin = SpinDown(
        Estimate(car.wheel_inertia_factor, test.wheel_inertia_factor_uncertainty),
        Estimate(car.wheel_diameter_mm, test.wheel_diameter_uncertainty_mm),
        Estimate(car.axle_diameter_mm, test.axle_diameter_uncertainty_mm),
        Estimate(test.start_turns_per_s, test.start_turns_per_s_uncertainty),
        Estimate(test.stop_time_s, test.stop_time_uncertainty_s),
        turns,
    )
    with _at(f"spin_downs[{number}]", "spin_down"):
        reading = read_spin_down(spin, evidence.gravity_m_s2)
    friction = reading.bearing_friction
    spread = friction.standard_uncertainty / friction.value
    shares = reading.contributions
    shared = sum(
        shares.get(name, 0.0)
        for name in ("wheel_inertia_factor", "wheel_diameter_mm", "axle_diameter_mm")
    )
    # Two wheels on one axle spin together or each by itself: the load is that of one axle.
    weight_n = max(car.wheel_mass_g, 1e-6) * 2e-3 * evidence.gravity_m_s2
    return SpinReading(
        test.car,
        test.state,
        # No spin-down repeats better than about 1 %: common practice, no source.
        Estimate(math.log(friction.value), max(spread * math.sqrt(max(1 - shared, 0.0)), 0.01)),
        spread * math.sqrt(shared),
        math.log(weight_n / constants.BEARING_REFERENCE_LOAD_N),
    )


def _weighted(estimates: list[Estimate]) -> Estimate:
    weights = [1.0 / max(one.standard_uncertainty, 1e-4) ** 2 for one in estimates]
    mean = sum(w * one.value for w, one in zip(weights, estimates, strict=True)) / sum(weights)
    return Estimate(mean, math.sqrt(1.0 / sum(weights)))


@contextmanager
def _at(place: str, instead_of: str) -> Iterator[None]:
    """Name the place of a test in every problem that reading it raises."""
    try:
        yield
    except InvalidInput as error:
        raise InvalidInput(
            [
                dataclasses.replace(one, where=one.where.replace(instead_of, place, 1))
                for one in error.problems
            ]
        ) from None
