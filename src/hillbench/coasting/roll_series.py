"""Which axle steers a car, as far as rolls over a floor can tell."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hillbench.coasting.result import Floats
from hillbench.coasting.roll_test import Steer, drift_after
from hillbench.errors import InvalidInput, Problem
from hillbench.uncertainty import Estimate

AXLE_SPREAD_DEG: Final = 0.5
"""How far a seat or an axle is out of square as a rule, one standard deviation, degrees: common
practice, no source."""

FLOOR_SPREAD_1_M: Final = 0.005
"""Curvature that a floor out of level gives a path, one standard deviation, 1/m; 10 mm of drift
over 2 m: common practice, no source."""

_SEAT_FRONT, _AXLE_FRONT, _SEAT_REAR, _AXLE_REAR, _FLOOR = range(5)


@dataclass(frozen=True, slots=True)
class AimedRoll:
    """One roll of a car that was set off with its body along the line.

    Attributes
    ----------
    length_m
        Distance rolled along the line, m.
    drift_mm
        How far the rear axle ended beside it, mm, positive to the left as it rolled.
    tail_first, back
        Whether the tail went first, and whether it rolled back along the floor.
    front_turned, rear_turned
        Whether that axle stood end for end.
    drift_uncertainty_mm, aim_uncertainty_deg
        Standard uncertainties of the drift, mm, and of the aim, degrees; each roll is aimed anew.
    sitting
        Rolls of one sitting have the same floor below them; counted from 0.
    """

    length_m: float
    drift_mm: float
    tail_first: bool = False
    back: bool = False
    front_turned: bool = False
    rear_turned: bool = False
    drift_uncertainty_mm: float = 2.0
    aim_uncertainty_deg: float = 0.5
    sitting: int = 0


@dataclass(frozen=True, slots=True)
class AxleSteer:
    """How a car steers, and what of it each axle does; angles in degrees, positive to the left.

    Attributes
    ----------
    steer
        Curvature, radius, steer angle and drift, for the car as it stood in the last roll.
    front_deg, rear_deg
        Direction of each axle against the body.
    floor_1_m
        Curvature that the floor of the last sitting gave, left as seen on the way there, 1/m.
    probability_front, probability_rear
        Chance that putting that axle alone square takes away more than half of the steer.
    probability_axle
        Chance that the axle itself, which turns over with it, is farther out than its seat in
        the base: at the front and at the rear.
    as_turned_deg
        Steer angle with the axles as built, the front, the rear and both turned end for end.
    left
        What is still unknown of front and rear, over what was unknown before any roll.
    """

    steer: Steer
    front_deg: Estimate
    rear_deg: Estimate
    floor_1_m: Estimate
    probability_front: float
    probability_rear: float
    probability_axle: tuple[float, float]
    as_turned_deg: tuple[Estimate, Estimate, Estimate, Estimate]
    left: tuple[float, float]


def read_rolls(rolls: Sequence[AimedRoll], wheelbase_mm: float) -> AxleSteer:
    """Return how a car steers from its rolls, and how far front and rear can be told apart.

    Parameters
    ----------
    rolls
        One or more.
    wheelbase_mm
        Distance between the axles, mm.

    Raises
    ------
    InvalidInput
        If there is no roll, a length is not positive, or a drift is larger than its length.

    Notes
    -----
    Axles at δ_f and δ_r to the body make a path of curvature κ = (tan δ_f − tan δ_r)/L, here
    (δ_f − δ_r)/L for small angles; without slip the rear axle sets off along δ_r. Aimed by its
    body over D, the rear axle so drifts by y = D δ_r + s κ (D² + y²)/2 + f φ (D² + y²)/2, to the
    left as it rolls. Tail first the same circle bends the other way (s = −1) while the line
    along δ_r turns the same way; on the way back a floor out of level, φ, pulls to the other
    side (f = −1). Thus nose first less tail first tells the steer, their sum the rear axle, and
    there less back the floor. Each axle is a seat in the base and the axle itself, which changes
    sign when it is turned end for end.

    The unknowns, four and one floor for each sitting, have normal priors; all readings are
    normal and linear in them, so that the answer is exact: least squares with a prior (A.
    Gelman et al., "Bayesian Data Analysis", 3rd ed., section 14.8). Circle geometry is
    elementary; it holds to 1 % up to y = D/5. Rolls that scatter more than their stated
    uncertainty widen it (R. T. Birge, Physical Review 40, 207, 1932).
    """
    problems = list(_check(rolls, wheelbase_mm))
    if problems:
        raise InvalidInput(problems)
    wheelbase_m = wheelbase_mm / 1e3
    sittings = 1 + max(roll.sitting for roll in rolls)
    design = np.array([_row(roll, wheelbase_m, sittings) for roll in rolls])
    seen = np.array([roll.drift_mm / 1e3 for roll in rolls])
    noise = np.array([_variance(roll) for roll in rolls])
    mean, covariance = _posterior(design, seen, noise)
    return _told(mean, covariance, rolls[-1], wheelbase_m)


def _row(roll: AimedRoll, wheelbase_m: float, sittings: int) -> list[float]:
    """Return how the drift of a roll, m, goes with each unknown; angles in radians."""
    square = (roll.length_m**2 + (roll.drift_mm / 1e3) ** 2) / 2.0
    bend = (-square if roll.tail_first else square) / wheelbase_m
    front = -1.0 if roll.front_turned else 1.0
    rear = -1.0 if roll.rear_turned else 1.0
    along = roll.length_m - bend
    floors = [0.0] * sittings
    floors[roll.sitting] = -square if roll.back else square
    return [bend, front * bend, along, rear * along, *floors]


def _variance(roll: AimedRoll) -> float:
    """Return the variance of a drift, m²; no aim and no rule is perfect."""
    aim = roll.length_m * math.radians(roll.aim_uncertainty_deg)
    return max((roll.drift_uncertainty_mm / 1e3) ** 2 + aim**2, 1e-12)


def _posterior(design: Floats, seen: Floats, noise: Floats) -> tuple[Floats, Floats]:
    prior = np.full(design.shape[1], math.radians(AXLE_SPREAD_DEG) ** 2 / 2.0)
    prior[_FLOOR:] = FLOOR_SPREAD_1_M**2
    precision = np.diag(1.0 / prior) + design.T @ (design / noise[:, None])
    covariance: Floats = np.asarray(np.linalg.inv(precision), dtype=np.float64)
    mean = covariance @ (design.T @ (seen / noise))
    left = seen - design @ mean
    told = float(np.sum((design @ covariance) * design / noise[:, None]))  # trace of the hat
    spare = len(seen) - told
    ratio = float(np.sum(left**2 / noise)) / spare if spare >= 1.0 else 1.0
    if ratio <= 1.01:
        return mean, covariance
    return _posterior(design, seen, noise * ratio)


def _told(mean: Floats, covariance: Floats, last: AimedRoll, wheelbase_m: float) -> AxleSteer:
    front = _direction(_SEAT_FRONT, _AXLE_FRONT, turned=last.front_turned)
    rear = _direction(_SEAT_REAR, _AXLE_REAR, turned=last.rear_turned)
    floor = _FLOOR + last.sitting
    floor_1_m = Estimate(float(mean[floor]), math.sqrt(float(covariance[floor, floor])))
    mean, covariance = mean[:_FLOOR], covariance[:_FLOOR, :_FLOOR]
    before = math.radians(AXLE_SPREAD_DEG)
    apart = [_spread(row, covariance) for row in (front, rear)]
    return AxleSteer(
        steer=_steer(_estimate(front - rear, mean, covariance), wheelbase_m),
        front_deg=_in_degrees(_estimate(front, mean, covariance)),
        rear_deg=_in_degrees(_estimate(rear, mean, covariance)),
        floor_1_m=floor_1_m,
        probability_front=_larger((front - rear) / 2.0, rear, mean, covariance),
        probability_rear=_larger((front - rear) / 2.0, front, mean, covariance),
        probability_axle=(
            _larger(_unit(_AXLE_FRONT), _unit(_SEAT_FRONT), mean, covariance),
            _larger(_unit(_AXLE_REAR), _unit(_SEAT_REAR), mean, covariance),
        ),
        as_turned_deg=_as_turned(mean, covariance),
        left=(apart[0] / before, apart[1] / before),
    )


def _as_turned(mean: Floats, covariance: Floats) -> tuple[Estimate, Estimate, Estimate, Estimate]:
    built, front, rear, both = (
        _in_degrees(
            _estimate(
                _direction(_SEAT_FRONT, _AXLE_FRONT, turned=front_turned)
                - _direction(_SEAT_REAR, _AXLE_REAR, turned=rear_turned),
                mean,
                covariance,
            )
        )
        for rear_turned in (False, True)
        for front_turned in (False, True)
    )
    return built, front, rear, both


def _direction(seat: int, axle: int, *, turned: bool) -> Floats:
    """Return the direction of an axle as a sum of unknowns."""
    row = np.zeros(_FLOOR)
    row[[seat, axle]] = 1.0, -1.0 if turned else 1.0
    return row


def _steer(angle: Estimate, wheelbase_m: float) -> Steer:
    curvature = Estimate(angle.value / wheelbase_m, angle.standard_uncertainty / wheelbase_m)
    return Steer(
        curvature_1_m=curvature,
        radius_m=1.0 / abs(curvature.value) if curvature.value else math.inf,
        steer_angle_deg=_in_degrees(angle),
        drift_mm_per_m=drift_after(curvature.value, 1.0) * 1e3,
    )


def _larger(first: Floats, second: Floats, mean: Floats, covariance: Floats) -> float:
    """Return the chance that one sum of unknowns is larger than another, whatever their signs.

    Notes
    -----
    |a| > |b| where a + b and a − b have the same sign: a quadrant of a normal pair, by its
    distribution function.
    """
    from scipy.stats import multivariate_normal

    both = np.array([first + second, first - second])
    middle, spread = both @ mean, both @ covariance @ both.T
    spread = spread + 1e-12 * np.trace(spread) * np.eye(2)
    pair = multivariate_normal(middle, spread)
    return float(pair.cdf([0.0, 0.0]) + multivariate_normal(-middle, spread).cdf([0.0, 0.0]))


def _estimate(row: Floats, mean: Floats, covariance: Floats) -> Estimate:
    return Estimate(float(row @ mean), _spread(row, covariance))


def _spread(row: Floats, covariance: Floats) -> float:
    return math.sqrt(float(row @ covariance @ row))


def _unit(place: int) -> NDArray[np.float64]:
    row = np.zeros(_FLOOR)
    row[place] = 1.0
    return row


def _in_degrees(angle: Estimate) -> Estimate:
    return Estimate(math.degrees(angle.value), math.degrees(angle.standard_uncertainty))


def _check(rolls: Sequence[AimedRoll], wheelbase_mm: float) -> Iterator[Problem]:
    if not rolls:
        yield Problem("rolls", "empty", "one roll or more", "fill in a length and a drift")
    if not wheelbase_mm > 0.0:
        yield Problem("wheelbase_mm", f"{wheelbase_mm:g} mm", "more than 0 mm")
    for number, roll in enumerate(rolls, start=1):
        if not (math.isfinite(roll.length_m) and roll.length_m > 0.0):
            seen = f"{roll.length_m:g} m in roll {number}"
            yield Problem("length_m", seen, "more than 0 m", "measure how far it rolled")
        elif not abs(roll.drift_mm) / 1e3 <= roll.length_m:
            seen = f"{roll.drift_mm:g} mm in roll {number}"
            allowed = f"at most the length rolled ({roll.length_m:g} m)"
            yield Problem("drift_mm", seen, allowed, "check the unit, or use a shorter roll")
