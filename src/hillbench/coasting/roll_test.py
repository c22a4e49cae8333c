"""How straight a car rolls: sideways drift over a length of flat floor."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from hillbench.errors import InvalidInput, Problem
from hillbench.uncertainty import Estimate


@dataclass(frozen=True, slots=True)
class Roll:
    """One roll over a flat floor, or the mean of several.

    Attributes
    ----------
    length_m
        Distance rolled, along the line on which the car was aimed, m.
    drift_mm
        How far it ended beside that line, mm, positive to the left.
    wheelbase_mm
        Distance between the axles, mm.
    aim_uncertainty_deg
        Standard uncertainty of the direction in which it was set off, degrees.
    """

    length_m: Estimate
    drift_mm: Estimate
    wheelbase_mm: Estimate
    aim_uncertainty_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Steer:
    """How a car steers by itself; positive to the left.

    Attributes
    ----------
    curvature_1_m
        Curvature of its path, 1/m.
    radius_m
        Radius of its path, m, without sign; infinite for a straight one.
    steer_angle_deg
        Angle between the directions of the front and the rear axle, degrees.
    drift_mm_per_m
        Drift over the first metre, mm.
    """

    curvature_1_m: Estimate
    radius_m: float
    steer_angle_deg: Estimate
    drift_mm_per_m: float


def read_roll(roll: Roll) -> Steer:
    """Return curvature of the path and steer angle from the drift of a roll.

    Raises
    ------
    InvalidInput
        If length or wheelbase are not positive, a reading is not finite, or the drift is
        larger than the length, which is more than a quarter of a turn.

    Notes
    -----
    A car with fixed axles rolls along a circle. Set off along the x axis it has, after D
    along x, drifted by y with D² + (R − y)² = R², so that the curvature is
    κ = 1/R = 2 y/(D² + y²); for small drift 2 y/D², 1 % too much at y = D/10. Without slip
    both axles point at the centre of the circle, so they stand at tan δ = κ L to each other
    (L the wheelbase). Valid for slow rolls on a level floor, without walls; compare
    rolls both ways to take out the floor's own slope.

    The drift's variance has a part (D u_aim)² from aiming. Uncertainty is propagated by
    JCGM 100:2008, 5.1.2, with ∂κ/∂y = 2 (D² − y²)/(D² + y²)² and ∂κ/∂D = −4 y D/(D² + y²)².
    Circle geometry is elementary; rolling a car over a floor to see it drift is common
    practice, no source.
    """
    problems = list(_check(roll))
    if problems:
        raise InvalidInput(problems)
    curvature = _curvature(roll)
    wheelbase_m = roll.wheelbase_mm.value / 1e3
    turn = curvature.value * wheelbase_m
    # δ = atan(κ L): both parts shrink by the same 1/(1 + tan² δ).
    spread = math.hypot(
        wheelbase_m * curvature.standard_uncertainty,
        curvature.value * roll.wheelbase_mm.standard_uncertainty / 1e3,
    ) / (1.0 + turn**2)
    return Steer(
        curvature_1_m=curvature,
        radius_m=1.0 / abs(curvature.value) if curvature.value else math.inf,
        steer_angle_deg=Estimate(math.degrees(math.atan(turn)), math.degrees(spread)),
        drift_mm_per_m=drift_after(curvature.value, 1.0) * 1e3,
    )


def drift_after(curvature_1_m: float, length_m: float) -> float:
    """Return the sideways drift, m, of a path of constant curvature after `length_m` along it.

    Notes
    -----
    y = (1 − cos κ s)/κ, written as s sin(κ s/2) sinc(κ s/2) so that a straight path is no
    special case; s is the length of the path itself.
    """
    half = curvature_1_m * length_m / 2.0
    cardinal = math.sin(half) / half if half else 1.0
    return length_m * math.sin(half) * cardinal


def _curvature(roll: Roll) -> Estimate:
    length = roll.length_m.value
    drift = roll.drift_mm.value / 1e3
    square = length**2 + drift**2
    aim = length * math.radians(roll.aim_uncertainty_deg)
    u_drift = math.hypot(roll.drift_mm.standard_uncertainty / 1e3, aim)
    by_drift = 2.0 * (length**2 - drift**2) / square**2
    by_length = -4.0 * drift * length / square**2
    spread = math.hypot(by_drift * u_drift, by_length * roll.length_m.standard_uncertainty)
    return Estimate(2.0 * drift / square, spread)


def _check(roll: Roll) -> Iterator[Problem]:
    for name in ("length_m", "wheelbase_mm"):
        value = getattr(roll, name).value
        if not (math.isfinite(value) and value > 0.0):
            yield Problem(f"roll_test.{name}", f"{value:g}", "more than 0")
    for name in ("length_m", "drift_mm", "wheelbase_mm"):
        spread = getattr(roll, name).standard_uncertainty
        if not (math.isfinite(spread) and spread >= 0.0):
            yield Problem(f"roll_test.{name}", f"known to ± {spread:g}", "± 0 or more")
    if not 0.0 <= roll.aim_uncertainty_deg <= 45.0:
        seen = f"{roll.aim_uncertainty_deg:g} deg"
        yield Problem("roll_test.aim_uncertainty_deg", seen, "between 0 and 45 deg")
    if not abs(roll.drift_mm.value) / 1e3 <= abs(roll.length_m.value):
        yield Problem(
            "roll_test.drift_mm",
            f"{roll.drift_mm.value:g} mm",
            f"at most the length rolled ({roll.length_m.value:g} m)",
            "use a shorter roll: beyond a quarter turn the drift no longer tells the curve",
        )
