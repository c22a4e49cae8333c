"""How measured times scatter about computed ones: from run to run, and where a run goes wrong."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.coasting.result import Floats

JUNK_RATE: Final = 0.002
"""Share of times that mean nothing (a misfired clock)."""

JUNK_SHARE: Final = 0.05
"""Half-width at half height of such times about the true one, over the typical time."""

_ROOT_2: Final = math.sqrt(2.0)
_ROOT_TAU: Final = math.sqrt(2.0 * math.pi)
_FAR: Final = 30.0
_WORST: Final = 1.0 - 1e-12
_WIDEST: Final = 20.0
"""With these ends the exponential below does not overflow; there its part is nil anyway."""


@dataclass(frozen=True, slots=True)
class Scatter:
    """Scatter of the times between readings, one entry for each of d times.

    Attributes
    ----------
    share
        Part of a whole run that lies between the two readings, by time, shape (d,).
    timer_s
        Standard uncertainty of the clock in this time, s, shape (d,).
    delay_s
        Mean delay in a bad run, s.
    typical_s
        Typical time of a whole run, s.

    Notes
    -----
    Along a run the scatter adds up like a random walk, so times between successive readings
    scatter independently, each with its share of the variance of the whole. Something may
    hold the car up on the way, which delays it by an exponential time: a bad run is never
    faster. A tiny Cauchy part keeps a misfired clock from carrying the fit away.
    """

    share: Floats
    timer_s: Floats
    delay_s: float
    typical_s: float

    def deviation_s(self, run_scatter_s: Floats) -> Floats:
        """Return the standard deviation of each time where nothing goes wrong, s."""
        return np.sqrt(run_scatter_s**2 * self.share + self.timer_s**2)

    def log_density(self, residual_s: Floats, run_scatter_s: Floats, bad_rate: Floats) -> Floats:
        """Return the log density of each residual (measured less computed, s).

        Parameters
        ----------
        residual_s
            Shape (..., d).
        run_scatter_s, bad_rate
            Standard deviation of a finish time and share of bad runs, shape (..., 1).
        """
        return np.log(self._densities(residual_s, run_scatter_s, bad_rate)[1])

    def bad_probability(
        self, residual_s: Floats, run_scatter_s: Floats, bad_rate: Floats
    ) -> Floats:
        """Return the probability that something went wrong in each time, shape (..., d)."""
        clean, whole = self._densities(residual_s, run_scatter_s, bad_rate)
        return np.clip(1.0 - clean / whole, 0.0, 1.0)

    def _densities(
        self, residual_s: Floats, run_scatter_s: Floats, bad_rate: Floats
    ) -> tuple[Floats, Floats]:
        """Return the density of a clean time and that of any time, 1/s.

        The Cauchy part has the heaviest tails of the three, so the sum is never zero and no
        logarithms are needed on the way.
        """
        deviation = self.deviation_s(run_scatter_s)
        # A long way has more places where something can happen.
        bad = -np.expm1(self.share * np.log1p(-np.minimum(bad_rate, _WORST))) * (1.0 - JUNK_RATE)
        z = np.clip(residual_s / deviation, -_FAR, None)
        clean = (1.0 - JUNK_RATE - bad) / (_ROOT_TAU * deviation) * np.exp(-0.5 * z**2)
        width = JUNK_SHARE * self.typical_s
        junk = JUNK_RATE / (math.pi * width) / (1.0 + (residual_s / width) ** 2)
        delayed = _delayed(z, np.minimum(deviation / self.delay_s, _WIDEST)) / self.delay_s
        return clean, clean + bad * delayed + junk


def _delayed(z: Floats, ratio: Floats) -> Floats:
    """Return the density of a normal plus an exponential time, in units of the delay.

    Notes
    -----
    With z the residual over the deviation s and ratio = s/τ, the exponentially modified normal
    density is exp(ratio²/2 - ratio z) erfc((ratio - z)/√2)/(2τ).
    """
    from scipy.special import erfc

    density: Floats = 0.5 * np.exp(ratio * (0.5 * ratio - z)) * erfc((ratio - z) / _ROOT_2)
    return density
