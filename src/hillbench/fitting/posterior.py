"""Draws from the posterior about its mode, weighted to be right, and whether that holds."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hillbench.coasting.result import Floats

MOST_PARETO_SHAPE: Final = 0.7
"""Shape of the tail of the weights up to which weighted draws are trusted (Vehtari et al.)."""

_ADAPTED: Final = 0.9

TAIL_FREEDOM: Final = 6.0
"""Degrees of freedom of the distribution that is drawn from: wider than the normal one."""

LogDensity = Callable[[Floats], Floats]


@dataclass(frozen=True, slots=True)
class StudentT:
    """A multivariate Student t distribution.

    Attributes
    ----------
    centre
        Where it is highest, shape (n,).
    root
        Lower triangular root of its scale matrix, shape (n, n).
    inverse_root
        Inverse of the root: a solver for every few points would cost more than the runs.
    freedom
        Degrees of freedom.
    """

    centre: Floats
    root: Floats
    inverse_root: Floats
    freedom: float = TAIL_FREEDOM

    @classmethod
    def about(cls, centre: Floats, covariance: Floats, freedom: float = TAIL_FREEDOM) -> StudentT:
        """Return the distribution with a centre and a scale matrix."""
        root = np.asarray(np.linalg.cholesky(covariance), dtype=np.float64)
        inverse = np.asarray(np.linalg.inv(root), dtype=np.float64)
        return cls(centre, root, inverse, freedom)

    def distance_2(self, points: Floats) -> Floats:
        """Return the squared distance of points from the centre, in scales, shape (k,)."""
        inside = (points - self.centre) @ self.inverse_root.T
        distance: Floats = np.sum(inside**2, axis=1)
        return distance

    def log_density(self, points: Floats) -> Floats:
        """Return the log density at points, shape (k,)."""
        n, nu = len(self.centre), self.freedom
        constant = math.lgamma((nu + n) / 2.0) - math.lgamma(nu / 2.0)
        constant -= 0.5 * n * math.log(nu * math.pi)
        constant -= float(np.sum(np.log(np.diag(self.root))))
        density: Floats = constant - 0.5 * (nu + n) * np.log1p(self.distance_2(points) / nu)
        return density

    def draw(self, count: int, rng: np.random.Generator) -> Floats:
        """Return `count` draws, shape (count, n)."""
        normal = rng.standard_normal((count, len(self.centre))) @ self.root.T
        wide = np.sqrt(self.freedom / rng.chisquare(self.freedom, count))
        drawn: Floats = self.centre + normal * wide[:, None]
        return drawn


@dataclass(frozen=True, slots=True)
class WeightedDraws:
    """Draws with weights that make them the posterior's.

    Attributes
    ----------
    points
        Shape (k, n).
    weights
        Summing to 1, shape (k,).
    pareto_shape
        Shape of the tail of the raw weights; above 0.7 they do not bear trust.
    effective
        Effective number of draws, 1/Σw².
    """

    points: Floats
    weights: Floats
    pareto_shape: float
    effective: float

    @property
    def trusted(self) -> bool:
        """Whether averages over the draws may be trusted."""
        return self.pareto_shape < MOST_PARETO_SHAPE and self.effective >= 100.0

    def resample(self, count: int, rng: np.random.Generator) -> Floats:
        """Return `count` equally weighted draws, by systematic resampling."""
        return self.points[systematic(self.weights, count, rng)]


def systematic(weights: Floats, count: int, rng: np.random.Generator) -> NDArray[np.intp]:
    """Return `count` places drawn by their weights, which sum to 1, by systematic resampling."""
    at = (rng.random() + np.arange(count)) / count
    return np.minimum(np.searchsorted(np.cumsum(weights), at), len(weights) - 1)


def draw_weighted(
    log_density: LogDensity, about: StudentT, count: int, rng: np.random.Generator
) -> WeightedDraws:
    """Return importance draws, with their largest weights smoothed.

    Parameters
    ----------
    log_density
        Log posterior at each row of a matrix of scores, up to a constant.
    about
        Distribution to draw from.
    count
        Number of draws.
    rng
        Source of chance.

    Notes
    -----
    Pareto smoothed importance sampling: A. Vehtari, D. Simpson, A. Gelman, Y. Yao and J. Gabry,
    J. Machine Learning Research 25 (2024) 1-58. Where the shape of the tail is above 0.7 the
    posterior is too far from the normal shape for this, and `draw_ellipses` is the way.
    """
    points = about.draw(count, rng)
    log_ratio = log_density(points) - about.log_density(points)
    log_weight, shape = smooth_tail(log_ratio)
    weights = np.exp(log_weight - np.max(log_weight))
    weights /= np.sum(weights)
    return WeightedDraws(points, weights, shape, 1.0 / float(np.sum(weights**2)))


def draw_adapted(
    log_density: LogDensity, about: StudentT, counts: tuple[int, ...], rng: np.random.Generator
) -> tuple[WeightedDraws, StudentT]:
    """Return importance draws from a distribution that was fitted to earlier ones in rounds.

    Parameters
    ----------
    log_density, rng
        As for `draw_weighted`.
    about
        Distribution of the first round.
    counts
        Draws in each round; those of the last round are returned, with what they came from.
    """
    drawn = draw_weighted(log_density, about, counts[0], rng)
    for count in counts[1:]:
        centre = drawn.weights @ drawn.points
        off = drawn.points - centre
        # Few effective draws tell little about a shape: the earlier one stays in part.
        share = _ADAPTED * drawn.effective / (drawn.effective + 2.0 * len(centre))
        scale = share * (off.T * drawn.weights) @ off + (1.0 - share) * about.root @ about.root.T
        middle = share * centre + (1.0 - share) * about.centre
        about = StudentT.about(middle, scale, about.freedom)
        drawn = draw_weighted(log_density, about, count, rng)
    return drawn, about


def smooth_tail(log_ratio: Floats) -> tuple[Floats, float]:
    """Return log weights with the largest replaced by those expected of a Pareto tail.

    Returns
    -------
    log_weight
        Shape (k,).
    pareto_shape
        Shape of the tail; infinite where too few draws are possible at all.
    """
    count = len(log_ratio)
    tail = int(min(0.2 * count, 3.0 * math.sqrt(count)))
    order = np.argsort(log_ratio)
    smoothed = log_ratio - log_ratio[order[-1]]
    threshold = smoothed[order[-tail - 1]] if tail >= 5 else -np.inf
    if not np.isfinite(threshold):
        return smoothed, math.inf
    excess = np.exp(smoothed[order[-tail:]]) - math.exp(threshold)
    if excess[-1] <= 1e-12:
        return smoothed, -math.inf
    shape, scale = fit_pareto(excess)
    middles = (np.arange(tail) + 0.5) / tail
    quantiles = (
        scale * np.expm1(-shape * np.log1p(-middles)) / shape
        if abs(shape) > 1e-9
        else -scale * np.log1p(-middles)
    )
    raised = np.log(np.exp(threshold) + quantiles)
    smoothed[order[-tail:]] = np.minimum(raised, 0.0)
    return smoothed, shape


def fit_pareto(excess: Floats) -> tuple[float, float]:
    """Return shape and scale of a generalised Pareto distribution.

    Parameters
    ----------
    excess
        Values above a threshold, sorted upwards, shape (k,).

    Notes
    -----
    J. Zhang and M. A. Stephens, "A new and efficient estimation method for the generalized
    Pareto distribution", Technometrics 51 (2009) 316-325, doi:10.1198/tech.2009.08017, with
    the shape drawn towards 1/2 as by ten further values (Vehtari et al., app. C).
    """
    count = len(excess)
    most = 30 + int(math.sqrt(count))
    quartile = excess[max(int(count / 4.0 + 0.5) - 1, 0)]
    grid = 1.0 - np.sqrt(most / (np.arange(1, most + 1) - 0.5))
    grid = grid / (3.0 * max(quartile, 1e-300)) + 1.0 / excess[-1]
    shapes = np.mean(np.log1p(-grid[:, None] * excess), axis=1)
    profile = count * (np.log(-grid / shapes) - shapes - 1.0)
    weights = np.exp(profile - np.max(profile))
    best = float(np.sum(grid * weights) / np.sum(weights))
    shape = float(np.mean(np.log1p(-best * excess)))
    scale = -shape / best
    return (count * shape + 5.0) / (count + 10.0), scale
