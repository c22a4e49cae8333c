"""Fit the unknowns of a track and its cars to what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np

from hillbench.coasting.losses import Losses
from hillbench.coasting.result import Floats
from hillbench.fitting.blocks import Blocks
from hillbench.fitting.check import require_evidence
from hillbench.fitting.ellipse_sampler import CHAINS, Progress, draw_ellipses
from hillbench.fitting.evidence import Evidence, Setup
from hillbench.fitting.layout import Layout
from hillbench.fitting.mode import Mode
from hillbench.fitting.nested import NestedDraws, draw_nested
from hillbench.fitting.nested_proposal import NestedProposal
from hillbench.fitting.objective import Objective
from hillbench.fitting.posterior import StudentT, WeightedDraws, draw_adapted
from hillbench.fitting.prepare import locate, prepare

DRAWS: Final = 1000
"""Draws from the posterior that a fit returns."""

_FEW: Final = 20
"""Unknowns up to which all are drawn at once before they are drawn car by car."""

_ROUNDS: Final = (1000, 2000, 3000)
_NESTED_ROUNDS: Final = (200, 400, 800, 1500, 3000)
_NESTED_SHARE: Final = 0.3
_MOST_R_HAT: Final = 1.05


class FitStatus(StrEnum):
    """How far a fit can be relied on."""

    FITTED = "fitted"
    SAMPLED = "sampled"
    NO_READINGS = "no_readings"
    NOT_CONVERGED = "not_converged"


@dataclass(frozen=True, slots=True)
class FitStatistics:
    """Numbers that tell how a fit went.

    Attributes
    ----------
    runs, times, tests
        Runs with a time, times between readings, and other readings.
    steps
        Steps to the mode.
    pareto_shape
        Shape of the tail of the weights: above 0.7 the sampler was used.
    effective_draws
        Effective number of draws.
    r_hat
        Agreement of the sampler's chains, 1 when perfect; null where it was not used.
    converged
        Whether the search for the best fit settled.
    """

    runs: int
    times: int
    tests: int
    steps: int
    pareto_shape: float
    effective_draws: float
    r_hat: float | None
    converged: bool = True


@dataclass(frozen=True, slots=True)
class Fit:
    """What a fit gave.

    Attributes
    ----------
    status
        How far it can be relied on.
    objective
        The log posterior that was fitted, with the evidence and the unknowns.
    best
        Scores at its top, shape (n,).
    draws
        Scores drawn from the posterior, all of one weight, shape (1000, n).
    statistics
        How it went.
    """

    status: FitStatus
    objective: Objective
    best: Floats
    draws: Floats
    statistics: FitStatistics

    @property
    def evidence(self) -> Evidence:
        """What was measured."""
        return self.objective.predictor.evidence

    @property
    def layout(self) -> Layout:
        """The unknowns."""
        return self.objective.predictor.layout

    def losses(self, setup: Setup) -> Losses:
        """Return the losses of a setup at the mean of the scores, for a computed run."""
        batch = self.layout.batch(np.mean(self.draws, axis=0)[None, :], [setup])
        return Losses(
            bearing_friction=float(batch.bearing_friction[0]),
            rolling_resistance=float(batch.rolling_resistance[0]),
            steady_drag_mn=float(batch.steady_drag_mn[0]),
            wall_friction=float(batch.wall_friction[0]),
            bearing_load_exponent=float(batch.bearing_load_exponent[0]),
        )


def fit(
    evidence: Evidence,
    rng: np.random.Generator,
    also: Sequence[Setup] = (),
    progress: Progress | None = None,
) -> Fit:
    """Fit all unknowns to the evidence.

    Parameters
    ----------
    evidence
        What was measured.
    rng
        Source of chance for the draws.
    also
        Setups that are asked about although nothing was measured with them.
    progress
        Told how far a long fit is; what it raises ends the fit.

    Raises
    ------
    InvalidInput
        With every problem found in the evidence, and where a car cannot have done on this
        track what was measured, whatever its losses.

    Notes
    -----
    The mode is found by damped Gauss-Newton steps, the posterior about it taken as normal and
    corrected by weights; with many unknowns car by car, for cars are independent given the
    hill. Where the weights show that it is not near enough to that shape, a sampler runs
    instead, and the result says so.
    """
    objective = prepare(require_evidence(evidence), also)
    mode = locate(objective)
    if objective.count <= _FEW:
        about = StudentT.about(mode.scores, mode.covariance())
        weighted, _ = draw_adapted(objective.log_posterior, about, _ROUNDS, rng)
        if weighted.trusted:
            return _fit(objective, mode, weighted, weighted.resample(DRAWS, rng), None)
    return _fit_by_car(objective, mode, rng, progress or _unheard)


def _fit_by_car(
    objective: Objective, mode: Mode, rng: np.random.Generator, progress: Progress
) -> Fit:
    """Draw what is shared and then each car; where that is not trusted, let a sampler run."""
    blocks = Blocks.of(objective)
    about = NestedProposal.about(blocks, mode)
    nested, about = draw_nested(
        blocks, about, _NESTED_ROUNDS, rng, lambda share: progress(_NESTED_SHARE * share)
    )
    if nested.trusted:
        return _fit(objective, mode, nested, nested.resample(DRAWS, rng), None)
    start = nested.resample(CHAINS, rng)
    possible = np.isfinite(objective.log_posterior(start))
    start[~possible] = mode.scores
    chains = draw_ellipses(
        blocks,
        about,
        start,
        rng,
        progress=lambda share: progress(_NESTED_SHARE + (1.0 - _NESTED_SHARE) * share),
    )
    flat = chains.flat
    draws = flat[rng.choice(len(flat), DRAWS, replace=False)]
    return _fit(objective, mode, nested, draws, (chains.effective(), chains.worst_r_hat()))


def _unheard(share: float) -> None:
    """Tell nobody how far a fit is."""


def _fit(
    objective: Objective,
    mode: Mode,
    weighted: WeightedDraws | NestedDraws,
    draws: Floats,
    chains: tuple[float, float] | None,
) -> Fit:
    timing = objective.timing
    draws = objective.coordinates.scores(draws)
    statistics = FitStatistics(
        runs=len(set(timing.run.tolist())),
        times=len(timing.time_s),
        tests=len(objective.bench),
        steps=mode.steps,
        pareto_shape=weighted.pareto_shape,
        effective_draws=weighted.effective if chains is None else chains[0],
        r_hat=None if chains is None else chains[1],
        converged=mode.converged,
    )
    status = FitStatus.FITTED if chains is None else FitStatus.SAMPLED
    if statistics.times + statistics.tests == 0:
        status = FitStatus.NO_READINGS
    elif chains is not None and chains[1] > _MOST_R_HAT:
        status = FitStatus.NOT_CONVERGED
    best = np.ravel(objective.coordinates.scores(mode.scores[None, :]))
    return Fit(status, objective, best, draws, statistics)
