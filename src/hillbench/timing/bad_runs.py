"""Runs that do not count as clean: bad ones, which can only lose time, and misfired times."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from hillbench.timing.design import Design, Floats
from hillbench.timing.prior import Prior

Ints = npt.NDArray[np.int8]

CLEAN: Final = 0
BAD: Final = 1
MISFIRE: Final = 2

_PEAK: Final = 1.0 / np.sqrt(2.0 * np.pi)


@dataclass(frozen=True, slots=True)
class Flaws:
    """What is wrong with each run in each chain.

    Attributes
    ----------
    kind
        `CLEAN`, `BAD` or `MISFIRE`, shape (c, n).
    loss_s
        Time that the flaw adds, s, shape (c, n); 0 for a clean run.
    rate
        Share of bad runs among those not noted, shape (c, 1).
    """

    kind: Ints
    loss_s: Floats
    rate: Floats

    def replaced(self, other: Flaws, taken: npt.NDArray[np.bool_]) -> Flaws:
        """Return these flaws with those of `other` in the chains that are taken, shape (c,)."""
        rows = taken[:, None]
        return Flaws(
            np.where(rows, other.kind, self.kind),
            np.where(rows, other.loss_s, self.loss_s),
            self.rate,
        )


class BadRuns:
    """Draws flaws of runs given how far each run is from what its car should take.

    Notes
    -----
    A bad run adds Exp(bad_s), so given its residual r the density is that of an
    exponentially modified Gaussian, exp(σ²/2τ² − r/τ) Φ(r/σ − σ/τ)/τ (Grushka 1972,
    Analytical Chemistry 44, 1733-1738); given it is bad, its loss is a normal
    N(r − σ²/τ, σ²) cut at 0. A misfire is uniform within ± the typical time.
    """

    def __init__(self, design: Design, prior: Prior, centred: Floats) -> None:
        self._prior = prior
        self._noted = design.noted
        self._misfire = prior.misfire_share / (2.0 * prior.typical_s)
        self._excess = _excess_over_others(design, centred)
        # Doubtful runs are proposed more often; the choice does not depend on the state.
        doubt = np.minimum(np.abs(self._excess) / (0.3 * prior.bad_s), 8.0) + 0.25
        self._doubt_sum = np.cumsum(doubt / doubt.sum())
        self._narrow_s = 0.1 * prior.bad_s

    def first(self, chains: int, rng: np.random.Generator) -> Flaws:
        """Return flaws to start from: none in half of the chains, the doubtful runs in others."""
        shape = (chains, len(self._excess))
        fast = self._excess < 0.0
        odd = np.abs(self._excess) > rng.uniform(0.2, 2.0, (chains, 1)) * self._prior.bad_s
        odd &= rng.random((chains, 1)) < 0.5
        kind = np.where(odd, np.where(fast, MISFIRE, BAD), CLEAN).astype(np.int8)
        loss = np.where(odd, self._excess, 0.0)
        share = self._prior.bad_count / (self._prior.bad_count + self._prior.good_count)
        return Flaws(np.broadcast_to(kind, shape), loss, np.full((chains, 1), share))

    def draw(
        self, residuals: Floats, spread: Floats, rate: Floats, rng: np.random.Generator
    ) -> tuple[Flaws, Floats]:
        """Return flaws of all runs, and the mean probability that each run has one.

        Parameters
        ----------
        residuals
            Time less what the car should take, s, shape (c, n).
        spread, rate
            Standard deviation of clean runs and share of bad runs, shape (c, 1).
        rng
            Source of randomness.
        """
        clean, bad, total = self._densities(residuals, spread, rate)
        level = rng.random(residuals.shape) * total
        kind = np.where(level < bad, BAD, np.where(level < bad + self._misfire, MISFIRE, CLEAN))
        loss = np.zeros_like(residuals)
        chain, run = np.nonzero(kind == BAD)
        loss[chain, run] = self._cut_normal(residuals[chain, run], spread[chain, 0], rng)
        chain, run = np.nonzero(kind == MISFIRE)
        noise = rng.standard_normal(len(chain)) * spread[chain, 0]
        loss[chain, run] = residuals[chain, run] + noise
        free = ~self._noted
        bad_counts = (kind[:, free] == BAD).sum(axis=1)
        good_counts = (kind[:, free] == CLEAN).sum(axis=1)
        prior = self._prior
        new_rate = rng.beta(prior.bad_count + bad_counts, prior.good_count + good_counts)
        flaws = Flaws(kind.astype(np.int8), loss, new_rate[:, None])
        return flaws, 1.0 - (clean / total).mean(axis=0)

    def propose(self, flaws: Flaws, rng: np.random.Generator) -> tuple[Flaws, Floats]:
        """Return flaws with one run of each chain drawn anew, and the log of the ratio.

        The ratio is prior over proposal of the new flaw, less that of the old one; the
        likelihood is the caller's.
        """
        chains = np.arange(len(flaws.kind))
        run = np.searchsorted(self._doubt_sum, rng.random(len(chains)) * self._doubt_sum[-1])
        run = np.minimum(run, len(self._doubt_sum) - 1)
        kind = rng.integers(0, 3, len(chains)).astype(np.int8)
        about = self._excess[run] + rng.laplace(0.0, self._narrow_s, len(chains))
        loss = np.where(kind == CLEAN, 0.0, about)
        old_kind, old_loss = flaws.kind[chains, run], flaws.loss_s[chains, run]
        rate = np.where(self._noted[run], self._prior.noted_bad_share, flaws.rate[:, 0])
        ratio = self._log_weight(kind, loss, rate, run)
        ratio -= self._log_weight(old_kind, old_loss, rate, run)
        new_kinds, new_losses = flaws.kind.copy(), flaws.loss_s.copy()
        new_kinds[chains, run], new_losses[chains, run] = kind, loss
        return Flaws(new_kinds, new_losses, flaws.rate), ratio

    def _densities(
        self, residuals: Floats, spread: Floats, rate: Floats
    ) -> tuple[Floats, Floats, Floats]:
        from scipy.special import ndtr

        tau = self._prior.bad_s
        if self._noted.any():
            rate = np.where(self._noted, self._prior.noted_bad_share, rate)
        standard = residuals / spread
        ratio = spread / tau
        bad = np.exp(np.minimum(0.5 * ratio**2 - residuals / tau, 700.0))
        bad *= ndtr(standard - ratio)
        bad *= rate / tau
        standard *= standard
        standard *= -0.5
        clean = np.exp(standard, out=standard)
        clean *= (1.0 - rate) * (_PEAK / spread)
        share = 1.0 - self._prior.misfire_share
        clean, bad = clean * share, bad * share
        return clean, bad, clean + bad + self._misfire

    def _cut_normal(self, residuals: Floats, spread: Floats, rng: np.random.Generator) -> Floats:
        """Return draws of N(r − σ²/τ, σ²) above 0, exact also far out in the tail."""
        from scipy.special import ndtr, ndtri

        middle = residuals - spread**2 / self._prior.bad_s
        above = rng.random(len(middle)) * ndtr(middle / spread)
        loss: Floats = np.maximum(middle - spread * ndtri(np.maximum(above, 1e-300)), 0.0)
        return loss

    def _log_weight(
        self, kind: Ints, loss: Floats, rate: Floats, run: npt.NDArray[np.intp]
    ) -> Floats:
        """Return the log of prior over proposal density of a flaw."""
        prior = self._prior
        about = np.abs(loss - self._excess[run]) / self._narrow_s
        proposal = np.where(kind == CLEAN, 0.0, -about - np.log(2.0 * self._narrow_s))
        clean = np.log((1.0 - rate) * (1.0 - prior.misfire_share))
        bad = np.log(rate * (1.0 - prior.misfire_share) / prior.bad_s) - loss / prior.bad_s
        bad = np.where(loss > 0.0, bad, -np.inf)
        misfire = np.where(np.abs(loss) < prior.typical_s, np.log(self._misfire), -np.inf)
        return np.choose(kind, [clean, bad, misfire]) - proposal


def _excess_over_others(design: Design, centred: Floats) -> Floats:
    """Return how much slower each run is than the median of the car's other runs."""
    cars = np.array([run.car for run in design.runs])
    excess = np.empty(len(centred))
    middle = float(np.median(centred))
    for car in dict.fromkeys(cars.tolist()):
        places = np.flatnonzero(cars == car)
        times = np.sort(centred[places])
        excess[places] = centred[places] - _medians_of_others(centred[places], times, middle)
    return excess


def _medians_of_others(values: Floats, ordered: Floats, alone: float) -> Floats:
    """Return for each value the median of the others; `alone` where there are none."""
    count = len(ordered) - 1
    if count == 0:
        return np.full(1, alone)
    place = np.searchsorted(ordered, values)
    low, high = (count - 1) // 2, count // 2
    medians: Floats = (ordered[low + (place <= low)] + ordered[high + (place <= high)]) / 2.0
    return medians
