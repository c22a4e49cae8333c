"""A sampler for posteriors of any shape: slices along ellipses, many chains side by side."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.coasting.result import Floats
from hillbench.fitting.posterior import LogDensity, StudentT

CHAINS: Final = 96
WARM_UP: Final = 90
BLOCK: Final = 50
"""Steps between two looks at whether the chains agree."""

GOOD_R_HAT: Final = 1.03
_MOST_SHRINKS: Final = 60
_WARM_UP_SHARE: Final = 0.3

Progress = Callable[[float], None]
"""Told the part of the work that is done, 0 to 1; may raise to stop the work."""


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


def draw_ellipses(
    log_density: LogDensity,
    about: StudentT,
    start: Floats,
    rng: np.random.Generator,
    effective: float = 400.0,
    most_steps: int = 500,
    progress: Progress | None = None,
) -> Chains:
    """Return draws by generalised elliptical slice sampling, until the chains agree.

    Parameters
    ----------
    log_density
        Log density at each row of a matrix of scores, up to a constant.
    about
        A distribution that resembles it; fitted anew to the chains three times in the warm-up.
    start
        Where each chain begins, shape (chains, n); the density must be possible there.
    rng
        Source of chance.
    effective
        Effective number of draws that is wanted, in every coordinate.
    most_steps
        Steps after the warm-up at which to give up.
    progress
        Told after each step how far it is, at least.

    Notes
    -----
    R. Nishihara, I. Murray and R. P. Adams, "Parallel MCMC with generalized elliptical slice
    sampling", J. Machine Learning Research 15 (2014) 2087-2112. Nothing is rejected and
    nothing must be tuned; the ellipses are kept fixed once draws count. Agreement: R-hat below
    1.03 and the effective number wanted.
    """
    points, here = start.copy(), log_density(start)
    recent: list[Floats] = []
    for step in range(1, WARM_UP + 1):
        points, here = _step(log_density, about, points, here, rng)
        recent.append(points)
        _tell(progress, _WARM_UP_SHARE * step / WARM_UP)
        if step % (WARM_UP // 3) == 0:
            about = _refit(about, np.concatenate(recent[len(recent) // 2 :]))
    kept: list[Floats] = []
    chains = Chains(points[None, :])
    while len(kept) < most_steps:
        for _ in range(BLOCK):
            points, here = _step(log_density, about, points, here, rng)
            kept.append(points)
            _tell(progress, _WARM_UP_SHARE + (1.0 - _WARM_UP_SHARE) * len(kept) / most_steps)
        chains = Chains(np.array(kept))
        got = chains.effective()
        _tell(progress, _WARM_UP_SHARE + (1.0 - _WARM_UP_SHARE) * min(got / effective, 1.0))
        if got >= effective and chains.worst_r_hat() < GOOD_R_HAT:
            break
    return chains


def _tell(progress: Progress | None, share: float) -> None:
    if progress is not None:
        progress(min(share, 1.0))


def _step(
    log_density: LogDensity,
    about: StudentT,
    points: Floats,
    here: Floats,
    rng: np.random.Generator,
) -> tuple[Floats, Floats]:
    chains, n = points.shape
    # Given a point, the t is a normal distribution whose variance has this inverse gamma law.
    beta = 0.5 * (about.freedom + about.distance_2(points))
    variance: Floats = beta / rng.gamma(0.5 * (n + about.freedom), size=chains)
    side = (rng.standard_normal((chains, n)) @ about.root.T) * np.sqrt(variance)[:, None]
    level = here - about.log_density(points) - rng.exponential(size=chains)
    angle: Floats = np.asarray(rng.uniform(0.0, 2.0 * math.pi, chains))
    low, high = angle - 2.0 * math.pi, angle.copy()
    moved, there = points.copy(), here.copy()
    active = np.arange(chains)
    for _ in range(_MOST_SHRINKS):
        turn = angle[active, None]
        offset = (points[active] - about.centre) * np.cos(turn) + side[active] * np.sin(turn)
        trial = about.centre + offset
        value = log_density(trial)
        good = value - about.log_density(trial) > level[active]
        moved[active[good]], there[active[good]] = trial[good], value[good]
        active = active[~good]
        if len(active) == 0:
            break
        behind = angle[active] < 0.0
        low[active[behind]] = angle[active[behind]]
        high[active[~behind]] = angle[active[~behind]]
        angle[active] = rng.uniform(low[active], high[active])
    return moved, there


def _refit(about: StudentT, points: Floats) -> StudentT:
    """Return the distribution about some points, kept where they are too few."""
    n = points.shape[1]
    if len(points) < 10 * n:
        return about
    covariance = np.cov(points.T).reshape(n, n) + 1e-9 * np.eye(n)
    return StudentT.about(np.mean(points, axis=0), covariance, about.freedom)


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
