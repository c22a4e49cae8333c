"""The top of a log density by damped Gauss-Newton steps, many trials in each batch."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hillbench.coasting.result import Floats

STEP: Final = 1e-3
"""Step of central differences, in the unit of the scores."""

_DAMPINGS: Final = np.array([0.0, 1e-3, 1e-2, 0.1, 1.0, 10.0, 100.0, 1e4])
_LEAST_PRECISION: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Mode:
    """Top of a log density.

    Attributes
    ----------
    scores
        Where it is, shape (n,).
    log_density
        The log density there, less its constant.
    precision
        Negative Hessian there as `slopes` gave it, made positive definite, shape (n, n).
    steps
        Steps taken.
    converged
        Whether the last step no longer mattered.
    """

    scores: Floats
    log_density: float
    precision: Floats
    steps: int
    converged: bool

    def covariance(self) -> Floats:
        """Return the covariance of the normal distribution with this precision."""
        covariance: Floats = np.asarray(np.linalg.inv(self.precision), dtype=np.float64)
        return covariance


def find_mode(
    log_density: Callable[[Floats], Floats],
    slopes: Callable[[Floats], tuple[Floats, Floats]],
    start: Floats,
    most_steps: int = 80,
    tolerance: float = 1e-9,
) -> Mode:
    """Return the top of a log density near a start.

    Parameters
    ----------
    log_density
        Log density at each row of a matrix of scores; minus infinity where it is impossible.
    slopes
        Gradient and positive semi-definite precision at one set of scores.
    start
        Where to begin; the log density must be finite there.
    most_steps
        Steps after which to give up.
    tolerance
        A step whose expected and actual gain are less than this, times one plus the size of
        the log density, is the last.

    Notes
    -----
    K. Levenberg (1944) and D. Marquardt, "An algorithm for least-squares estimation of
    nonlinear parameters", J. SIAM 11 (1963) 431-441, doi:10.1137/0111030; the eight dampings of
    a step are tried in one batch and the best is taken, so no run waits for another.
    """
    scores = np.asarray(start, dtype=np.float64)
    best = float(log_density(scores[None, :])[0])
    if not np.isfinite(best):
        raise ValueError("the log density must be finite at the start")
    for step in range(1, most_steps + 1):
        gradient, precision = slopes(scores)
        precision = positive_definite(precision)
        moves = _moves(gradient, precision)
        values = log_density(scores + moves)
        chosen = int(np.argmax(values))
        gain = float(values[chosen]) - best
        least = tolerance * (1.0 + abs(best))
        expected = 0.5 * float(gradient @ moves[0])
        if gain > 0.0:
            scores, best = scores + moves[chosen], float(values[chosen])
        if gain <= least and (expected <= least * 10.0 or gain <= 0.0):
            converged = expected <= max(least * 1e3, 1e-3)
            return Mode(scores, best, precision, step, converged)
    return Mode(scores, best, positive_definite(slopes(scores)[1]), most_steps, False)


def central_differences(
    predict: Callable[[Floats], Floats], scores: Floats, moving: NDArray[np.intp]
) -> tuple[Floats, Floats]:
    """Return slopes of predictions along some scores, and the predictions, in one call.

    Parameters
    ----------
    predict
        Predictions at each row of a matrix of scores, shape (k, d).
    scores
        Where, shape (n,).
    moving
        Numbers of the m scores to move.

    Returns
    -------
    slopes
        Shape (d, m). Where one side is not a number the other side alone is used.
    predicted
        Shape (d,).
    """
    moves = np.zeros((len(moving), len(scores)))
    moves[np.arange(len(moving)), moving] = STEP
    points = np.concatenate([scores[None, :], scores + moves, scores - moves])
    found = predict(points)
    here, up, down = found[0], found[1 : len(moving) + 1], found[len(moving) + 1 :]
    both = (up - down) / (2.0 * STEP)
    one_side = np.where(np.isfinite(up), up - here, here - down) / STEP
    slopes = np.where(np.isfinite(both), both, one_side)
    return np.where(np.isfinite(slopes), slopes, 0.0).T, here


def positive_definite(precision: Floats) -> Floats:
    """Return a symmetric matrix with its eigenvalues lifted above zero where they are not."""
    symmetric = (precision + precision.T) / 2.0
    values, vectors = np.linalg.eigh(symmetric)
    least = _LEAST_PRECISION * max(float(values[-1]), 1e-300) ** 0.5
    if values[0] > 0.0:
        return symmetric
    lifted: Floats = (vectors * np.maximum(np.abs(values), least)) @ vectors.T
    return lifted


def _moves(gradient: Floats, precision: Floats) -> Floats:
    """Return a step for each damping, shape (8, n)."""
    scale = np.sqrt(np.diag(precision))
    scaled = precision / np.outer(scale, scale)
    values, vectors = np.linalg.eigh(scaled)
    inside = vectors.T @ (gradient / scale)
    values = np.maximum(values, 1e-14)
    moves: Floats = ((inside / (values + _DAMPINGS[:, None])) @ vectors.T) / scale
    return moves
