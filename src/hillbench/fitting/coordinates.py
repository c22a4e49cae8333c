"""Coordinates in which the posterior is near to a normal distribution."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hillbench.coasting.result import Floats
from hillbench.fitting.layout import Layout
from hillbench.fitting.unknown import Shape

ADDITIVE: Final = frozenset(
    {
        "rolling_resistance",
        "bearing_friction",
        "steady_drag_mn",
        "drag_area_cm2",
        "wall_friction",
        "scrub_per_deg",
    }
)
"""Unknowns whose losses add up along a run."""

_STRAIGHT_FROM: Final = 0.1
_BEND: Final = 0.05
_STEP: Final = 1e-3


@dataclass(frozen=True, slots=True)
class Coordinates:
    """A change of coordinates between scores and what the mode and the draws are sought in.

    Attributes
    ----------
    numbers
        Numbers of the unknowns whose coordinate is not the score, shape (b,).
    units
        Their value at which the coordinate turns from logarithmic to straight, shape (b,).
    centres, spreads
        Medians and logarithmic standard deviations of their priors, shape (b,).
    bounded
        Numbers of the unknowns that are even between two bounds.

    Notes
    -----
    A time fixes the sum of the losses far better than its parts: rolling resistance may rise
    where bearing friction falls. Along values that ridge is straight, along scores, which are
    logarithms, it is curved; but only logarithms keep a value positive. So a loss v that adds
    to others has the coordinate y with v = u ln(1 + e^y): v itself in units of u where it
    matters, its logarithm where it is small. The prior density changes by dz/dy. An unknown
    that is even between two bounds has as coordinate its way from one to the other, bent at the
    ends so that neither is reached.
    """

    numbers: NDArray[np.intp]
    units: Floats
    centres: Floats
    spreads: Floats
    bounded: NDArray[np.intp]

    @classmethod
    def of(cls, layout: Layout) -> Coordinates:
        """Return the coordinates for the unknowns of a layout."""
        chosen = [n for n, one in enumerate(layout.unknowns) if one.name in ADDITIVE]
        centres = np.array([layout.unknowns[n].centre for n in chosen])
        spreads = np.array([layout.unknowns[n].spread for n in chosen])
        even = [n for n, one in enumerate(layout.unknowns) if one.shape is Shape.UNIFORM]
        return cls(
            np.array(chosen, dtype=np.intp),
            _STRAIGHT_FROM * centres,
            centres,
            spreads,
            np.array(even, dtype=np.intp),
        )

    def scores(self, points: Floats) -> Floats:
        """Return the scores at some points, shape (k, n)."""
        scores = points.copy()
        values = self.units * np.logaddexp(0.0, points[:, self.numbers])
        scores[:, self.numbers] = np.log(np.maximum(values, 1e-300) / self.centres) / self.spreads
        scores[:, self.bounded] = _probit(points[:, self.bounded])
        return scores

    def points(self, scores: Floats) -> Floats:
        """Return the points that have some scores, shape (k, n)."""
        points = scores.copy()
        share = self.centres / self.units * np.exp(self.spreads * scores[:, self.numbers])
        # ln(e^q - 1), written so that it neither overflows nor cancels.
        points[:, self.numbers] = share + np.log(-np.expm1(-share))
        points[:, self.bounded] = _way(scores[:, self.bounded])
        return points

    def log_prior(self, points: Floats) -> Floats:
        """Return the log prior density in these coordinates less its constant, shape (k,)."""
        from scipy.special import log_expit

        scores = self.scores(points)
        scores[:, self.bounded] = 0.0  # even: only the change of coordinates counts
        bent = points[:, self.numbers]
        change = log_expit(bent) - np.log(np.maximum(np.logaddexp(0.0, bent), 1e-300))
        even = _log_slope(points[:, self.bounded])
        density: Floats = (
            np.sum(change, axis=1) + np.sum(even, axis=1) - 0.5 * np.sum(scores**2, axis=1)
        )
        return density

    def prior_slopes(self, point: Floats) -> tuple[Floats, Floats]:
        """Return gradient and negative Hessian of the log prior at one point."""
        move = _STEP * np.eye(len(point))
        ends = self.log_prior(np.concatenate([point[None, :], point + move, point - move]))
        up, down = ends[1 : len(point) + 1], ends[len(point) + 1 :]
        curve = (up - 2.0 * ends[0] + down) / _STEP**2
        return (up - down) / (2.0 * _STEP), np.diag(-curve)


def _probit(way: Floats) -> Floats:
    """Return the score of an even unknown whose way between its bounds is bent at the ends."""
    from scipy.special import ndtri

    low = _BEND * (np.logaddexp(0.0, way / _BEND) - np.logaddexp(0.0, (way - 1.0) / _BEND))
    # From the upper end the way is the same backwards, so both tails keep their digits.
    high = _BEND * (np.logaddexp(0.0, (1.0 - way) / _BEND) - np.logaddexp(0.0, -way / _BEND))
    score: Floats = np.where(low < 0.5, ndtri(low), -ndtri(high))
    return score


def _way(scores: Floats) -> Floats:
    """Return the way that has some scores: the inverse of `_probit`.

    Notes
    -----
    With a = e^(y/w), c = e^(-1/w) and E = e^(u/w), u/w = ln((1 + a)/(1 + a c)) gives
    a = (E - 1)/(1 - E c).
    """
    from scipy.special import ndtr

    low, high = ndtr(scores) / _BEND, ndtr(-scores) / _BEND
    # ln(E - 1) and ln(1 - E c), the latter with 1 - u in place of u.
    way: Floats = _BEND * (low + np.log(-np.expm1(-low)) - np.log(-np.expm1(-high)))
    return way


def _log_slope(way: Floats) -> Floats:
    """Return ln du/dy of the bent way, s(y/w) s((1 - y)/w) (1 - e^(-1/w)) but for a constant."""
    from scipy.special import log_expit

    slope: Floats = log_expit(way / _BEND) + log_expit((1.0 - way) / _BEND)
    return slope
