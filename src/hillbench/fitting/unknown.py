"""One unknown of a fit, with what is known of it beforehand."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from hillbench.coasting.result import Floats

NINETY_PERCENT: Final = 1.6448536269514722
"""Standard deviations either way that hold 90 % of a normal distribution."""

LARGEST_LOG: Final = 60.0
"""Logarithm over the median beyond which a value is no larger: no car moves there anyway."""


class Shape(StrEnum):
    """How an unknown is spread beforehand."""

    LOG_NORMAL = "log_normal"
    NORMAL = "normal"
    UNIFORM = "uniform"
    BETA = "beta"


@dataclass(frozen=True, slots=True)
class Unknown:
    """One unknown and its prior.

    Attributes
    ----------
    name
        What it is, as in `Losses` and `Car` where it stands there.
    owner
        Whose it is: ``track``, the name of a car, or car and state.
    unit
        Its unit; empty for a number.
    shape
        How it is spread: `centre` and `spread` are median and standard deviation of the
        logarithm (log-normal), mean and standard deviation (normal), least and most
        (uniform), or the two exponents 1 and b of a beta distribution (1 must be `centre`).
    centre, spread
        The two numbers of the shape.
    source
        Where they come from.

    Notes
    -----
    The score z is standard normal beforehand whatever the shape; `values` is its quantile
    function after the normal distribution function. So bounds are never reached and a fit
    has one kind of prior only.
    """

    name: str
    owner: str
    unit: str
    shape: Shape
    centre: float
    spread: float
    source: str

    def values(self, scores: ArrayLike) -> Floats:
        """Return the unknown at some scores, in its unit."""
        from scipy.special import log_ndtr, ndtr

        z = np.asarray(scores, dtype=np.float64)
        if self.shape is Shape.LOG_NORMAL:
            return self.centre * np.exp(np.minimum(self.spread * z, LARGEST_LOG))
        if self.shape is Shape.NORMAL:
            return self.centre + self.spread * z
        if self.shape is Shape.UNIFORM:
            inside: Floats = self.centre + (self.spread - self.centre) * ndtr(z)
            return inside
        # The quantile of Beta(1, b) is 1 - (1 - p)^(1/b), and 1 - p is the tail at -z.
        rate: Floats = -np.expm1(log_ndtr(-z) / self.spread)
        return rate

    def prior_interval(self) -> tuple[float, float]:
        """Return the central interval that holds 90 % beforehand, in the unit."""
        low, high = sorted(float(self.values(end)) for end in (-NINETY_PERCENT, NINETY_PERCENT))
        return low, high
