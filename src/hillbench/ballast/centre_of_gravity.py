"""Centre of gravity from scale readings: along from the axle loads, height from a tilt."""

from __future__ import annotations

import math

from hillbench.errors import InvalidInput, Problem
from hillbench.uncertainty import Estimate


def cg_ahead_of_rear_axle(rear_g: Estimate, total_g: Estimate, wheelbase_mm: Estimate) -> Estimate:
    """Return how far the centre of gravity is ahead of the rear axle, mm.

    Parameters
    ----------
    rear_g
        Reading with the rear axle on the scale and the front level beside it, g.
    total_g
        Mass of the whole car, g.
    wheelbase_mm
        Wheelbase, mm.

    Notes
    -----
    Moments about the rear axle: x = L (1 - R/M). Statics of a beam on two supports (J. L.
    Meriam, L. G. Kraige, Engineering Mechanics: Statics, ch. 3); uncertainty to first order
    (JCGM 100:2008, 5.1).
    """
    rear, total, base = rear_g.value, total_g.value, wheelbase_mm.value
    _require(rear, total, base)
    share = 1.0 - rear / total
    parts = (
        base / total * rear_g.standard_uncertainty,
        base * rear / total**2 * total_g.standard_uncertainty,
        share * wheelbase_mm.standard_uncertainty,
    )
    return Estimate(base * share, math.hypot(*parts))


def cg_height(
    rear_g: Estimate,
    raised_rear_g: Estimate,
    total_g: Estimate,
    wheelbase_mm: Estimate,
    raised_mm: Estimate,
    wheel_radius_mm: float,
) -> Estimate:
    """Return the height of the centre of gravity above the track, mm.

    Parameters
    ----------
    rear_g
        Reading of the rear axle with the car level, g.
    raised_rear_g
        The same with the front axle raised; greater, since the mass leans back.
    total_g
        Mass of the whole car, g.
    wheelbase_mm
        Wheelbase, mm.
    raised_mm
        How much higher the front axle stands, mm; less than the wheelbase.
    wheel_radius_mm
        Radius of the wheels, mm: the tilt turns about the axles.

    Notes
    -----
    With sin a = raised/L, the load moved to the rear is M (h - r) tan a / L, so
    h = r + L dR / (M tan a): the reaction method of weighing vehicles (ISO 10392:2011, axle
    lift method; formula from memory, derived from moments about the front axle).
    """
    base, total = wheelbase_mm.value, total_g.value
    _require(rear_g.value, total, base)
    if not 0.0 < raised_mm.value < base:
        seen, allowed = f"{raised_mm.value:g} mm", f"more than 0 and less than {base:g} mm"
        raise InvalidInput([Problem("raised_mm", seen, allowed, "raise the front axle")])
    moved = raised_rear_g.value - rear_g.value
    height = _height_above_axle(moved, total, base, raised_mm.value)
    parts = [
        _height_above_axle(1.0, total, base, raised_mm.value) * rear_g.standard_uncertainty,
        _height_above_axle(1.0, total, base, raised_mm.value) * raised_rear_g.standard_uncertainty,
        height / total * total_g.standard_uncertainty,
    ]
    for which, one in enumerate((wheelbase_mm, raised_mm)):
        step = one.standard_uncertainty
        if step:
            changed = [base, raised_mm.value]
            changed[which] += step
            parts.append(_height_above_axle(moved, total, changed[0], changed[1]) - height)
    return Estimate(height + wheel_radius_mm, math.hypot(*parts))


def _height_above_axle(moved_g: float, total_g: float, base_mm: float, raised_mm: float) -> float:
    tangent = raised_mm / math.sqrt(base_mm**2 - raised_mm**2)
    return base_mm * moved_g / (total_g * tangent)


def _require(rear_g: float, total_g: float, wheelbase_mm: float) -> None:
    problems = []
    if not 0.0 < total_g < math.inf:
        problems.append(Problem("total_g", f"{total_g:g} g", "more than 0 g", "weigh the car"))
    elif not 0.0 <= rear_g <= total_g:
        problems.append(Problem("rear_g", f"{rear_g:g} g", f"between 0 and {total_g:g} g"))
    if not 0.0 < wheelbase_mm < math.inf:
        problems.append(Problem("wheelbase_mm", f"{wheelbase_mm:g} mm", "more than 0 mm"))
    if problems:
        raise InvalidInput(problems)
