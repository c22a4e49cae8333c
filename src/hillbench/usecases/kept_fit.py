"""A fit in a form that can be kept, and taken up again for other questions."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.fitting.ellipse_sampler import Progress
from hillbench.fitting.evidence import Setup
from hillbench.fitting.fit import Fit, FitStatistics, FitStatus, fit
from hillbench.fitting.prepare import prepare
from hillbench.usecases.fit_file import finite_statistics
from hillbench.usecases.gather_runs import Gathered

FIT_SEED: Final = 1
"""Start of the random numbers: the same runs give the same answer."""


@dataclass(frozen=True, slots=True)
class KeptFit:
    """What the draws of a fit were; nothing in it depends on what is asked of them.

    Attributes
    ----------
    status
        How far it can be relied on.
    unknowns
        Name and owner of each unknown, in the order of the scores.
    best
        Scores at the top of the posterior.
    draws
        All scores drawn, as 32-bit numbers in base 64, one draw after the other.
    statistics
        How it went.
    """

    status: FitStatus
    unknowns: tuple[tuple[str, str], ...]
    best: tuple[float, ...]
    draws: str
    statistics: FitStatistics


def fit_gathered(gathered: Gathered, progress: Progress | None = None) -> KeptFit:
    """Fit what was gathered on a track.

    Raises
    ------
    InvalidInput
        If the runs or the cars cannot be as they were entered.
    """
    fitted = fit(gathered.evidence, np.random.default_rng(FIT_SEED), progress=progress)
    statistics = finite_statistics(fitted.statistics)
    packed = base64.b64encode(fitted.draws.astype("<f4").tobytes()).decode("ascii")
    keys = tuple(fitted.layout.places)
    return KeptFit(fitted.status, keys, tuple(fitted.best.tolist()), packed, statistics)


def take_up(kept: KeptFit, gathered: Gathered, also: Sequence[Setup] = ()) -> Fit:
    """Return the fit again, with setups that are asked about beside those that ran.

    Notes
    -----
    An unknown of such a setup that the fit did not have is one of which nothing was read: its
    draws are those of its prior.
    """
    objective = prepare(gathered.evidence, also)
    raw = np.frombuffer(base64.b64decode(kept.draws), dtype="<f4").astype(np.float64)
    known = raw.reshape(-1, len(kept.unknowns))
    rng = np.random.default_rng(FIT_SEED)
    places = {key: number for number, key in enumerate(kept.unknowns)}
    draws = np.empty((len(known), objective.count))
    best = np.zeros(objective.count)
    for key, number in objective.predictor.layout.places.items():
        if key in places:
            draws[:, number] = known[:, places[key]]
            best[number] = kept.best[places[key]]
        else:
            draws[:, number] = rng.standard_normal(len(known))
    return Fit(kept.status, objective, best, draws, kept.statistics)
