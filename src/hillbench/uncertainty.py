"""Readings and their uncertainty, by the Guide to the expression of uncertainty (GUM)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its standard uncertainty, in one unit.

    Attributes
    ----------
    value
        Best estimate.
    standard_uncertainty
        One standard deviation, same unit; 0 or more.
    degrees_of_freedom
        Effective degrees of freedom; infinite where nothing was estimated from scatter.
    """

    value: float
    standard_uncertainty: float
    degrees_of_freedom: float = math.inf


def resolution_uncertainty(resolution: float) -> float:
    """Return the standard uncertainty of a reading rounded to `resolution`.

    Notes
    -----
    u = d / sqrt(12): every value within half a step is equally likely.
    JCGM 100:2008, F.2.2.1.
    """
    if not (math.isfinite(resolution) and resolution >= 0.0):
        raise ValueError(f"resolution is {resolution}; it must be zero or more")
    return resolution / math.sqrt(12.0)


def half_width_uncertainty(half_width: float) -> float:
    """Return the standard uncertainty of a value known only to lie within ± `half_width`.

    Notes
    -----
    u = a / sqrt(3), uniform. JCGM 100:2008, 4.3.7 and 4.4.5.
    """
    return half_width / math.sqrt(3.0)


def repeated_reading(readings: Sequence[float], resolution: float = 0.0) -> Estimate:
    """Return the mean of repeated readings with its type A and type B uncertainty combined.

    Parameters
    ----------
    readings
        One or more readings of the same quantity, in one unit.
    resolution
        Smallest step of the instrument, same unit, 0 where it is negligible.

    Raises
    ------
    ValueError
        If there is no reading, or one is not finite.

    Notes
    -----
    Type A: s/sqrt(n) (JCGM 100:2008, 4.2.3). Type B: d/sqrt(12) (F.2.2.1). The two are
    combined in quadrature (5.1.2), the degrees of freedom by Welch-Satterthwaite (G.4.1)
    with the type B part taken as known. One reading has no type A part. Readings that all
    agree say no more than the resolution does.
    """
    count = len(readings)
    if count == 0 or not all(math.isfinite(reading) for reading in readings):
        raise ValueError("at least one reading is needed and each must be a finite number")
    mean = math.fsum(readings) / count
    type_b = resolution_uncertainty(resolution)
    if count == 1:
        return Estimate(mean, type_b)
    variance = math.fsum((reading - mean) ** 2 for reading in readings) / (count - 1)
    type_a = math.sqrt(variance / count)
    combined = math.hypot(type_a, type_b)
    if type_a == 0.0:
        return Estimate(mean, combined)
    return Estimate(mean, combined, (count - 1) * (combined / type_a) ** 4)
