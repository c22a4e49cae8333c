"""The log posterior of the unknowns and its slopes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.coasting.result import Floats
from hillbench.fitting.coordinates import Coordinates
from hillbench.fitting.mode import central_differences
from hillbench.fitting.prediction import Predictor
from hillbench.fitting.timing_data import TimingData

_STEP: Final = 0.02
"""Step of the differences of the density, in deviations and in scores."""


@dataclass(frozen=True, slots=True)
class Objective:
    """Log posterior of the unknowns, as points in some coordinates.

    Attributes
    ----------
    predictor
        Computes the readings.
    timing
        The measured times.
    bench
        Other readings as logarithms, shape (b,).
    bench_spread
        Their standard deviations, shape (b,).
    coordinates
        What the points are in.

    Notes
    -----
    The last two scores are the scatter from run to run and the rate of bad runs; all others
    change the computed readings.
    """

    predictor: Predictor
    timing: TimingData
    bench: Floats
    bench_spread: Floats
    coordinates: Coordinates

    @property
    def count(self) -> int:
        """Number of scores."""
        return len(self.predictor.layout.unknowns)

    def log_posterior(self, points: Floats) -> Floats:
        """Return the log posterior less its constant at many points, shape (k,)."""
        prior = self.coordinates.log_prior(points)
        return prior + self.log_likelihood(self.coordinates.scores(points))

    def log_likelihood(self, scores: Floats) -> Floats:
        """Return the log density of all readings at many scores, shape (k,)."""
        total = np.sum(self.reading_densities(scores), axis=1)
        return np.where(np.isfinite(total), total, -np.inf)

    def reading_densities(self, scores: Floats) -> Floats:
        """Return the log density of each reading, times first, shape (k, readings).

        Not a number where the car of the reading does not get there.
        """
        times, bench = self._split(self.predictor.predict(scores))
        residual = self.timing.time_s - times[:, self.timing.which]
        dense = self.timing.scatter.log_density(residual, *self._noise(scores))
        off = (self.bench - bench) / self.bench_spread
        return np.concatenate([dense, -0.5 * off**2], axis=1)

    def reading_cars(self) -> tuple[str, ...]:
        """Return the name of the car of each reading, in the order of `reading_densities`."""
        timing, predictor = self.timing, self.predictor
        owners = [timing.setups[setup].name for setup, _, _ in timing.stretches]
        return (
            *(owners[stretch] for stretch in timing.which.tolist()),
            *(setup.name for setup in predictor.coast_setups),
            *(spin.name for spin in predictor.spins),
        )

    def slopes(self, point: Floats) -> tuple[Floats, Floats]:
        """Return gradient and Gauss-Newton precision (negative Hessian) at one point.

        Notes
        -----
        The second derivatives of the readings are left out, those of their density and of the
        prior are not. All runs that the differences need are one call of `coast_batch`.
        """
        jacobian, predicted = self.jacobian(point)
        slope, curve = self._density_slopes(predicted, point)
        gradient, precision = self.coordinates.prior_slopes(point)
        return jacobian.T @ slope + gradient, jacobian.T @ curve @ jacobian + precision

    def jacobian(self, point: Floats) -> tuple[Floats, Floats]:
        """Return the slopes of the readings and of the two noise scores, and the readings.

        Shapes (d + 2, n) and (d,): the last two rows are the noise scores themselves.
        """

        def predict(points: Floats) -> Floats:
            return self.predictor.predict(self.coordinates.scores(points))

        slopes, predicted = central_differences(predict, point, np.arange(self.count - 2))
        whole = np.zeros((len(predicted) + 2, self.count))
        whole[:-2, :-2] = slopes
        whole[-2, -2] = whole[-1, -1] = 1.0
        return whole, predicted

    def bad_probability(self, scores: Floats) -> Floats:
        """Return the probability that something went wrong in each time at one set of scores."""
        times, _ = self._split(self.predictor.predict(scores[None, :]))
        residual = self.timing.time_s - times[:, self.timing.which]
        wrong = self.timing.scatter.bad_probability(residual, *self._noise(scores[None, :]))
        return np.ravel(wrong)

    def _split(self, predicted: Floats) -> tuple[Floats, Floats]:
        count = len(self.timing.stretches)
        return predicted[:, :count], predicted[:, count:]

    def _noise(self, scores: Floats) -> tuple[Floats, Floats]:
        scatter, bad = self.predictor.layout.unknowns[-2:]
        return scatter.values(scores[:, -2:-1]), bad.values(scores[:, -1:])

    def _density_slopes(self, predicted: Floats, scores: Floats) -> tuple[Floats, Floats]:
        """Return gradient and negative Hessian of the log density of all readings.

        With respect to the distinct readings and the two noise scores, shapes (d + 2,) and
        (d + 2, d + 2).
        """
        times, bench = self._split(predicted[None, :])
        count, stretches = predicted.size, len(self.timing.stretches)
        gradient, curve = np.zeros(count + 2), np.zeros((count + 2, count + 2))
        first, second = self._time_slopes(times[0], scores)
        which = self.timing.which
        by_stretch = [np.bincount(which, one, stretches) for one in (first[0], *second[0])]
        # A residual falls as the computed time rises.
        gradient[:stretches] = -by_stretch[0]
        gradient[-2:] = np.sum(first[1:], axis=1)
        at = np.arange(stretches)
        curve[at, at] = -by_stretch[1]
        for noise in (0, 1):
            curve[:stretches, count + noise] = curve[count + noise, :stretches] = by_stretch[
                2 + noise
            ]
        curve[-2:, -2:] = -np.sum(second[1:, 1:], axis=2)
        weight = self.bench_spread**-2.0
        gradient[stretches:-2] = weight * (self.bench - bench[0])
        at = np.arange(stretches, count)
        curve[at, at] = weight
        return gradient, curve

    def _time_slopes(self, times: Floats, scores: Floats) -> tuple[Floats, Floats]:
        """Return first and second derivatives of the log density of each time.

        With respect to its residual and the two noise scores, by central differences; shapes
        (3, d) and (3, 3, d).
        """
        scatter = self.timing.scatter
        residual = self.timing.time_s - times[self.timing.which]
        layout = self.predictor.layout
        deviation = scatter.deviation_s(layout.unknowns[-2].values(scores[-2:-1]))
        steps = np.array([[i, j, k] for i in (-1, 0, 1) for j in (-1, 0, 1) for k in (-1, 0, 1)])
        noise = scores[-2:] + _STEP * steps[:, 1:]
        padded = np.concatenate([np.zeros((27, self.count - 2)), noise], axis=1)
        dense = scatter.log_density(
            residual + _STEP * deviation * steps[:, :1], *self._noise(padded)
        ).reshape(3, 3, 3, -1)
        first, second = _differences(dense)
        scale = [1.0 / (_STEP * deviation), np.full_like(residual, 1.0 / _STEP)]
        scales = np.stack([scale[0], scale[1], scale[1]])
        return first * scales, second * scales[:, None] * scales[None, :]


def _differences(cube: Floats) -> tuple[Floats, Floats]:
    """Return first and second differences at the middle of a 3 × 3 × 3 stencil of values."""
    middle = cube[1, 1, 1]
    first, second = np.empty((3, middle.size)), np.empty((3, 3, middle.size))
    for axis in range(3):
        turned = np.moveaxis(cube, axis, 0)
        first[axis] = (turned[2, 1, 1] - turned[0, 1, 1]) / 2.0
        second[axis, axis] = turned[2, 1, 1] - 2.0 * middle + turned[0, 1, 1]
    for one, other, rest in ((0, 1, 2), (0, 2, 1), (1, 2, 0)):
        flat = np.moveaxis(cube, (one, other, rest), (0, 1, 2))[:, :, 1]
        mixed = (flat[2, 2] - flat[2, 0] - flat[0, 2] + flat[0, 0]) / 4.0
        second[one, other] = second[other, one] = mixed
    return first, second
