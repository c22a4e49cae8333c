"""Coordinates in which the posterior is near to a normal distribution."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hillbench.coasting.result import Floats
from hillbench.fitting.layout import Layout
from hillbench.fitting.ridge import Ridge
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

_STRAIGHT_FROM: Final = {"steady_drag_mn": 1.0}
"""Where a coordinate turns straight, over the median beforehand."""

_ELSE_FROM: Final = 0.1
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
    ridge
        Bearing frictions and the steady drags they are mistaken for.

    Notes
    -----
    A time fixes the sum of the losses far better than its parts: rolling resistance may rise
    where bearing friction falls. Along values that ridge is straight, along scores, which are
    logarithms, it is curved; but only logarithms keep a value positive. So a loss v that adds
    to others has the coordinate y with v = u ln(1 + e^y): v itself in units of u where it
    matters, its logarithm where it is small. The prior density changes by dz/dy. An unknown
    that is even between two bounds has as coordinate its way from one to the other, bent at the
    ends so that neither is reached. Steady drag may be anything over two decades: where
    the bearing friction beside it is known by its runs only, the drag keeps its score and what
    brakes like it is added to the coordinate of the friction. So the times fix that coordinate
    whatever the drag is, and the ridge is straight again.
    """

    numbers: NDArray[np.intp]
    units: Floats
    centres: Floats
    spreads: Floats
    bounded: NDArray[np.intp]
    ridge: Ridge

    @classmethod
    def of(cls, layout: Layout, ridge: Ridge) -> Coordinates:
        """Return the coordinates for the unknowns of a layout."""
        by_score = set(ridge.steady_at.tolist())
        chosen = [
            n for n, one in enumerate(layout.unknowns) if one.name in ADDITIVE and n not in by_score
        ]
        centres = np.array([layout.unknowns[n].centre for n in chosen])
        spreads = np.array([layout.unknowns[n].spread for n in chosen])
        even = [n for n, one in enumerate(layout.unknowns) if one.shape is Shape.UNIFORM]
        return cls(
            np.array(chosen, dtype=np.intp),
            np.array([_STRAIGHT_FROM.get(layout.unknowns[n].name, _ELSE_FROM) for n in chosen])
            * centres,
            centres,
            spreads,
            np.array(even, dtype=np.intp),
            ridge,
        )

    def scores(self, points: Floats) -> Floats:
        """Return the scores at some points, shape (k, n)."""
        scores = self._unshifted(points)
        values = self.units * np.logaddexp(0.0, scores[:, self.numbers])
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
        points[:, self.ridge.friction_at] += self._shift(scores)
        return points

    def _shift(self, scores: Floats) -> Floats:
        """Return what is added to the coordinates of frictions for the sake of the drags."""
        at = np.searchsorted(self.numbers, self.ridge.friction_at)
        shift: Floats = self.ridge.friction_of_drag(scores) / self.units[at]
        return shift

    def _unshifted(self, points: Floats) -> Floats:
        plain = points.copy()
        # The drag's own coordinate is its score.
        plain[:, self.ridge.friction_at] -= self._shift(points)
        return plain

    def log_prior(self, points: Floats) -> Floats:
        """Return the log prior density in these coordinates less its constant, shape (k,)."""
        density: Floats = np.sum(self.log_priors(points), axis=1)
        return density

    def log_priors(self, points: Floats) -> Floats:
        """Return the log prior density of each coordinate less its constant, shape (k, n).

        Adding what brakes like the drag turns no volume: the density stays as it is.
        """
        return self._plain_priors(self._unshifted(points), self.scores(points))

    def _plain_priors(self, plain: Floats, scores: Floats) -> Floats:
        from scipy.special import log_expit

        scores = scores.copy()
        scores[:, self.bounded] = 0.0  # even: only the change of coordinates counts
        density: Floats = -0.5 * scores**2
        bent = plain[:, self.numbers]
        change = log_expit(bent) - np.log(np.maximum(np.logaddexp(0.0, bent), 1e-300))
        density[:, self.numbers] += change
        density[:, self.bounded] += _log_slope(plain[:, self.bounded])
        return density

    def prior_slopes(self, point: Floats) -> tuple[Floats, Floats]:
        """Return gradient and negative Hessian of the log prior at one point.

        Notes
        -----
        Each term depends on one coordinate before what brakes like the drag is added; the
        chain rule adds it, its own curvature left out as in a Gauss-Newton step.
        """
        plain = self._unshifted(point[None, :])
        ends = [
            self._plain_priors(moved, self.scores(self._shifted(moved)))[0]
            for moved in (plain, plain + _STEP, plain - _STEP)
        ]
        first = (ends[1] - ends[2]) / (2.0 * _STEP)
        second = (ends[1] - 2.0 * ends[0] + ends[2]) / _STEP**2
        chain = np.eye(len(point))
        slope = self._shift(point[None, :])[0] * self.ridge.spread
        chain[self.ridge.friction_at, self.ridge.steady_at] = -slope
        return chain.T @ first, chain.T @ np.diag(-second) @ chain

    def _shifted(self, plain: Floats) -> Floats:
        points = plain.copy()
        points[:, self.ridge.friction_at] += self._shift(plain)
        return points


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
