"""Where the search for the mode begins: losses with which every measured car gets there."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from hillbench.coasting.result import Floats
from hillbench.errors import InvalidInput, Problem
from hillbench.fitting.mode import central_differences, find_mode
from hillbench.fitting.objective import Objective

_FACTORS: Final = (1.0, 0.8, 0.6, 0.45, 0.35, 0.25, 0.18, 0.12, 0.08, 0.05, 0.03, 0.01, 0.001)
_LOSSES: Final = frozenset(
    {"rolling_resistance", "wall_friction", "steady_drag_mn", "bearing_friction", "scrub_per_deg"}
)
_ROUGH_SHARE: Final = 0.01


def find_start(objective: Objective) -> Floats:
    """Return scores near the mode: the best fit to the median times, each known to 1 %.

    Raises
    ------
    InvalidInput
        If a car does not reach a gate or the finish where it was timed, however small its
        losses: the track cannot be as it was described.

    Notes
    -----
    The losses of the prior mean may stall a car that was timed. Then all losses are taken
    smaller by one factor, the largest with which every car gets there.
    """
    start = _possible(objective)
    medians, counts = objective.timing.medians()
    if not len(medians):
        return start
    wanted = np.concatenate([medians, objective.bench])
    rough = _ROUGH_SHARE * np.sqrt(objective.timing.typical_s * medians)
    spread = np.concatenate([rough / np.sqrt(np.minimum(counts, 4)), objective.bench_spread])
    moving = np.arange(objective.count - 2)

    def log_density(scores: Floats) -> Floats:
        off = (objective.predictor.predict(scores) - wanted) / spread
        total = -0.5 * np.sum(off**2, axis=1) - 0.5 * np.sum(scores**2, axis=1)
        return np.where(np.isfinite(total), total, -np.inf)

    def slopes(scores: Floats) -> tuple[Floats, Floats]:
        moved, predicted = central_differences(objective.predictor.predict, scores, moving)
        jacobian = np.zeros((len(wanted), objective.count))
        jacobian[:, moving] = moved
        weighted = jacobian / spread[:, None]
        gradient = weighted.T @ ((wanted - predicted) / spread) - scores
        return gradient, weighted.T @ weighted + np.eye(objective.count)

    found = find_mode(log_density, slopes, start, most_steps=30, tolerance=1e-4).scores
    found[-2] = _scatter_score(objective, found[-2])
    return found


def _possible(objective: Objective) -> Floats:
    unknowns = objective.predictor.layout.unknowns
    unit = np.array([1.0 / one.spread if one.name in _LOSSES else 0.0 for one in unknowns])
    tried = np.array([unit * math.log(factor) for factor in _FACTORS])
    possible = np.all(np.isfinite(objective.predictor.predict(tried)), axis=1)
    if np.any(possible):
        return np.ravel(tried[int(np.argmax(possible))])
    setups = objective.timing.setups
    last = objective.predictor.predict(tried[-1:])[0, : len(objective.timing.stretches)]
    stuck = objective.timing.stretches[int(np.argmin(np.isfinite(last)))][0]
    raise InvalidInput(
        [
            Problem(
                "track",
                f"a hill down which {setups[stuck].name} cannot coast even without losses",
                "a hill down which every car that was timed can coast",
                "check the slopes, and the masses and lengths of the car",
            )
        ]
    )


def _scatter_score(objective: Objective, otherwise: float) -> float:
    """Return a score of the scatter from the repeats of each stretch."""
    timing = objective.timing
    medians, counts = timing.medians()
    many = counts[timing.which] >= 3
    if not np.any(many):
        return otherwise
    off = (timing.time_s - medians[timing.which]) / np.sqrt(timing.scatter.share)
    scatter_s = 1.4826 * float(np.median(np.abs(off[many])))
    unknown = objective.predictor.layout.unknowns[-2]
    score = math.log(max(scatter_s, 1e-9) / unknown.centre) / unknown.spread
    return float(np.clip(score, -2.5, 2.5))
