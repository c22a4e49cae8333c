"""The model of two cars without lanes or drift, summed over a grid: no sampling.

Written from the model's statement with SciPy's distributions; nothing of the package is used.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import signal, stats

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Truth:
    """Probability that the first is faster, and 5 %, 50 %, 95 % points of the gap."""

    probability_first_faster: float
    quantiles_s: tuple[float, float, float]


def gap_posterior(first_s: list[float], second_s: list[float], typical_s: float) -> Truth:
    """Return the posterior of the second car's time less the first's."""
    scale = typical_s / 10.5
    step, reach = 0.002 * scale, 2.2 * scale
    level = np.arange(-reach, reach + step / 2.0, step)
    centre = float(np.median([*first_s, *second_s]))
    nodes, weights = np.polynomial.legendre.leggauss(48)
    low, high = np.log(0.006 * scale), np.log(0.5 * scale)
    log_spread = low + (nodes + 1.0) / 2.0 * (high - low)
    spread_weights = weights * stats.norm.pdf(log_spread, np.log(0.06 * scale), 0.8)
    # Quantiles of Beta(1, 15) at the middles of equal shares.
    rates = stats.beta.ppf((np.arange(16) + 0.5) / 16.0, 1, 15)
    parts: list[tuple[float, Floats, Floats]] = []
    for weight, spread in zip(spread_weights, np.exp(log_spread), strict=True):
        densities = [
            _densities(np.array(times) - centre, level, spread, scale)
            for times in (first_s, second_s)
        ]
        for rate in rates:
            a, b = (_log_likelihood(density, rate, typical_s) for density in densities)
            parts.append((float(weight), a, b))
    best = max(float(a.max() + b.max()) for _, a, b in parts)
    total = np.zeros(2 * len(level) - 1)
    for weight, a, b in parts:
        height = float(a.max() + b.max()) - best
        if height > -30.0:
            joint = signal.fftconvolve(np.exp(b - b.max()), np.exp(a - a.max())[::-1])
            total += weight * np.exp(height) * np.maximum(joint, 0.0)
    gaps = np.linspace(-2.0 * reach, 2.0 * reach, len(total))
    total *= stats.norm.pdf(gaps, 0.0, 0.15 * scale)
    below = (np.cumsum(total) - total / 2.0) / total.sum()
    low_s, middle_s, high_s = np.interp([0.05, 0.5, 0.95], below, gaps)
    return Truth(1.0 - float(np.interp(0.0, gaps, below)), (low_s, middle_s, high_s))


def _densities(times: Floats, level: Floats, spread: float, scale: float) -> tuple[Floats, Floats]:
    """Return the density of each time for each level if clean, and if bad."""
    residuals = times[:, None] - level
    clean = stats.norm.pdf(residuals, 0.0, spread)
    bad = stats.exponnorm.pdf(residuals, 0.30 * scale / spread, 0.0, spread)
    return clean, bad


def _log_likelihood(densities: tuple[Floats, Floats], rate: float, typical_s: float) -> Floats:
    clean, bad = densities
    misfire = 0.002 / (2.0 * typical_s)
    mixed = 0.998 * ((1.0 - rate) * clean + rate * bad) + misfire
    logs: Floats = np.log(mixed).sum(axis=0)
    return logs
