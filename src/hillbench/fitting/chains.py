"""Draws of several chains side by side, and whether they agree."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from hillbench.coasting.result import Floats


@dataclass(frozen=True, slots=True)
class Chains:
    """Draws of several chains.

    Attributes
    ----------
    points
        Shape (draws, chains, n).
    """

    points: Floats

    @property
    def flat(self) -> Floats:
        """All draws together, shape (draws × chains, n)."""
        return self.points.reshape(-1, self.points.shape[-1])

    def worst_r_hat(self) -> float:
        """Return the largest split R-hat of all coordinates.

        Notes
        -----
        Variance of all draws over that within half chains, its root: 1 where all chains tell
        the same. A. Gelman et al., Bayesian Data Analysis, 3rd ed., 2013, sect. 11.4.
        """
        half = len(self.points) // 2
        split = np.concatenate([self.points[:half], self.points[half : 2 * half]], axis=1)
        within = np.mean(np.var(split, axis=0, ddof=1), axis=0)
        between = np.var(np.mean(split, axis=0), axis=0, ddof=1)
        whole = (half - 1) / half * within + between
        return float(np.max(np.sqrt(whole / np.maximum(within, 1e-300))))

    def effective(self) -> float:
        """Return the least effective number of draws of all coordinates."""
        return min(_effective(self.points[:, :, number]) for number in range(self.points.shape[2]))


def _effective(draws: Floats) -> float:
    """Return the effective number of draws of one coordinate, shape (draws, chains).

    Notes
    -----
    Autocorrelation averaged over the chains, summed in pairs while they are positive: C. J.
    Geyer, "Practical Markov chain Monte Carlo", Statistical Science 7 (1992) 473-483.
    """
    count, chains = draws.shape
    centred = draws - np.mean(draws)
    size = 2 ** math.ceil(math.log2(2 * count))
    spectrum = np.abs(np.fft.rfft(centred, size, axis=0)) ** 2
    covariance = np.mean(np.fft.irfft(spectrum, size, axis=0)[:count], axis=1)
    correlation = covariance / max(float(covariance[0]), 1e-300)
    pairs = correlation[: count // 2 * 2].reshape(-1, 2).sum(axis=1)
    positive = np.minimum.accumulate(np.where(pairs > 0.0, pairs, 0.0))
    time = max(2.0 * float(np.sum(positive)) - 1.0, 1.0 / (count * chains))
    return float(count * chains / time)
