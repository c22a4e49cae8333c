"""Gibbs sampling of the model of timed runs, many chains side by side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.timing.bad_runs import BadRuns, Flaws
from hillbench.timing.design import Design, Floats
from hillbench.timing.posterior import Posterior
from hillbench.timing.prior import Prior

CHAINS: Final = 256
_START_SWEEPS: Final = (20, 40)
_KEPT_SWEEPS: Final = (24, 60)
_SWEEP_RUNS: Final = 480
_CELLS: Final = 48
_LEAST_CHAINS: Final = 8
_MOST_CELLS_IN_STEP: Final = 90_000


@dataclass(frozen=True, slots=True)
class Gaussian:
    """The linear model in coordinates in which all its coefficients are independent.

    Attributes
    ----------
    turn
        Turned coordinates in terms of the standardised ones, shape (p, p).
    fit
        What each turned coefficient adds to each run, shape (n, p); columns are orthogonal.
    information
        Squared lengths of the columns of `fit`, shape (p,).
    log_spread, cell
        Middles of the cells of log spread, shape (g,), and the width of a cell.
    constant, quadratic
        Log probability of a cell given times w less their flaws: constant + [w·w, q²] @
        quadratic, with q = w @ fit; shapes (g,) and (1 + p, g).
    """

    turn: Floats
    fit: Floats
    information: Floats
    log_spread: Floats
    cell: float
    constant: Floats
    quadratic: Floats

    def cell_logs(self, residuals: Floats) -> tuple[Floats, Floats]:
        """Return projections, shape (c, p), and log probabilities of the cells, shape (c, g)."""
        projections = residuals @ self.fit
        squares = np.concatenate(
            [np.einsum("ij,ij->i", residuals, residuals)[:, None], projections**2], axis=1
        )
        return projections, squares @ self.quadratic + self.constant


def turn_design(design: Design, prior: Prior, cells: int = _CELLS) -> Gaussian:
    """Return the linear model with its coefficients made independent.

    Notes
    -----
    With standardised coefficients β ~ N(0, 1) and loadings B, B'B = V D V'. In γ = V'β the
    posterior given σ and the times w less their flaws is independent normal with precision
    1 + D/σ² and mean q/σ²/(1 + D/σ²), q = (B V)'w. With γ integrated out,

        log p(w | σ) = −n log σ − ½ Σ log(1 + D/σ²) − ½ w·w/σ² + ½ Σ q²/(σ²(σ² + D)),

    linear in w·w and q², so that all chains and all cells are one matrix product. With the
    mean all but free, as here, the maximum over σ is that of restricted likelihood.
    """
    loadings = design.loadings()
    information, turn = np.linalg.eigh(loadings.T @ loadings)
    information = np.maximum(information, 0.0)
    edges = np.linspace(np.log(prior.least_spread_s), np.log(prior.greatest_spread_s), cells + 1)
    middles = (edges[1:] + edges[:-1]) / 2.0
    variance = np.exp(2.0 * middles)
    constant = -len(design.time_s) * middles
    constant -= 0.5 * np.log1p(information[:, None] / variance).sum(axis=0)
    constant -= 0.5 * ((middles - np.log(prior.spread.median_s)) / prior.spread.log_sd) ** 2
    by_projection = 0.5 / (variance * (variance + information[:, None]))
    return Gaussian(
        turn=turn,
        fit=loadings @ turn,
        information=information,
        log_spread=middles,
        cell=float(edges[1] - edges[0]),
        constant=constant,
        quadratic=np.vstack([-0.5 / variance, by_projection]),
    )


def sample(
    design: Design,
    prior: Prior,
    rng: np.random.Generator,
    *,
    chains: int = CHAINS,
    sweeps: tuple[int, int] | None = None,
) -> Posterior:
    """Return what the runs say about every coefficient, the spread and each run.

    Parameters
    ----------
    design
        The runs, at least one of them with a time.
    prior
        What was known before.
    rng
        Source of randomness; the same state gives the same answer.
    chains
        Chains side by side; fewer where there are very many runs.
    sweeps
        Sweeps to start with and sweeps to keep; more for few runs, whose posterior may have
        several modes, if not given.

    Notes
    -----
    One sweep draws, in turn: a new flaw for one doubtful run of each chain, with spread and
    coefficients integrated out (Metropolis-Hastings, so that a chain can leave "large spread"
    for "one misfire"); spread and coefficients together; flaws of all runs; the share of bad
    runs. Liu, The collapsed Gibbs sampler, 1994 (JASA 89, 958-966); Casella and Robert,
    Rao-Blackwellisation of sampling schemes, 1996 (Biometrika 83, 81-94).
    """
    start_sweeps, kept_sweeps = sweeps or sweeps_for(len(design.time_s))
    chains = int(np.clip(_MOST_CELLS_IN_STEP // len(design.time_s), _LEAST_CHAINS, chains))
    gaussian = turn_design(design, prior)
    centred = design.time_s - np.median(design.time_s)
    bad_runs = BadRuns(design, prior, centred)
    flaws = bad_runs.first(chains, rng)
    spreads, means, variances = [], [], []
    bad = np.zeros(len(centred))
    for sweep in range(start_sweeps + kept_sweeps):
        flaws, projections, logs = _leap(gaussian, bad_runs, centred, flaws, rng)
        spread = _draw_spread(gaussian, logs, rng)
        variance = 1.0 / (1.0 + gaussian.information / spread**2)
        mean = projections / spread**2 * variance
        noise = rng.standard_normal(mean.shape)
        residuals = centred - (mean + noise * np.sqrt(variance)) @ gaussian.fit.T
        if sweep >= start_sweeps:
            spreads.append(spread[:, 0])
            means.append(mean)
            variances.append(variance)
        flaws, bad_share = bad_runs.draw(residuals, spread, flaws.rate, rng)
        if sweep >= start_sweeps:
            bad += bad_share
    return Posterior(
        design=design,
        spread_s=np.concatenate(spreads),
        means=_recentred(np.concatenate(means), gaussian, design),
        variances=np.concatenate(variances),
        turn=gaussian.turn,
        bad_probability=bad / kept_sweeps,
    )


def sweeps_for(runs: int) -> tuple[int, int]:
    """Return how many sweeps to start with, and how many to keep, for a number of runs."""
    wanted = _SWEEP_RUNS // runs
    return (
        min(max(wanted, _START_SWEEPS[0]), _START_SWEEPS[1]),
        min(max(wanted, _KEPT_SWEEPS[0]), _KEPT_SWEEPS[1]),
    )


def _leap(
    gaussian: Gaussian,
    bad_runs: BadRuns,
    centred: Floats,
    flaws: Flaws,
    rng: np.random.Generator,
) -> tuple[Flaws, Floats, Floats]:
    """Propose another flaw of one run in each chain; return flaws, projections and cell logs."""
    projections, logs = gaussian.cell_logs(centred - flaws.loss_s)
    proposed, log_ratio = bad_runs.propose(flaws, rng)
    new_projections, new_logs = gaussian.cell_logs(centred - proposed.loss_s)
    log_ratio += _log_sum(new_logs) - _log_sum(logs)
    taken = np.log(rng.random(len(log_ratio))) < log_ratio
    return (
        flaws.replaced(proposed, taken),
        np.where(taken[:, None], new_projections, projections),
        np.where(taken[:, None], new_logs, logs),
    )


def _draw_spread(gaussian: Gaussian, logs: Floats, rng: np.random.Generator) -> Floats:
    """Return a spread for each chain from its cells, shape (c, 1)."""
    cumulative = np.cumsum(np.exp(logs - logs.max(axis=1, keepdims=True)), axis=1)
    level = rng.random((len(logs), 1)) * cumulative[:, -1:]
    cells = np.minimum((cumulative < level).sum(axis=1), logs.shape[1] - 1)
    within = gaussian.cell * (rng.random(len(logs)) - 0.5)
    spread: Floats = np.exp(gaussian.log_spread[cells] + within)[:, None]
    return spread


def _log_sum(logs: Floats) -> Floats:
    most = logs.max(axis=1)
    total: Floats = most + np.log(np.exp(logs - most[:, None]).sum(axis=1))
    return total


def _recentred(means: Floats, gaussian: Gaussian, design: Design) -> Floats:
    """Add the time taken off before sampling to the coefficient of the mean."""
    centre = np.zeros(len(design.columns))
    centre[0] = np.median(design.time_s) / design.columns[0].sd
    shifted: Floats = means + centre @ gaussian.turn
    return shifted
