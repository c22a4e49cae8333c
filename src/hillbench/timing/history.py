"""What a track's earlier runs say about the spread of clean runs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from hillbench.timing.design import build_design
from hillbench.timing.prior import SpreadPrior, prior_for
from hillbench.timing.run import TimedRun
from hillbench.timing.sampler import sample

LEAST_EARLIER_RUNS: Final = 20
"""Timed runs from which a track's history is used."""

_LEAST_FREEDOM: Final = 12
_MOST_EARLIER_RUNS: Final = 240
_DAY_TO_DAY: Final = 0.2
_CHAINS: Final = 64


def spread_from_history(
    earlier: Sequence[TimedRun], rng: np.random.Generator
) -> SpreadPrior | None:
    """Return what earlier runs say about the spread, or None where they are too few.

    Parameters
    ----------
    earlier
        Earlier runs on the track, oldest first, not those to be compared; the last 240 count.
    rng
        Source of randomness.

    Notes
    -----
    The spread is that of the same model, with cars, lanes, outings, drift and bad runs taken
    out. Its logarithm gets another 20 % (our own choice) for the difference between days.
    """
    used = [run for run in earlier if run.time_s is not None][-_MOST_EARLIER_RUNS:]
    groups = {(run.outing, run.car) for run in used}
    if len(used) < LEAST_EARLIER_RUNS or len(used) - len(groups) < _LEAST_FREEDOM:
        return None
    prior = prior_for(float(np.median([run.time_s for run in used if run.time_s is not None])))
    posterior = sample(build_design(used, prior), prior, rng, chains=_CHAINS)
    logs = np.log(posterior.spread_s)
    return SpreadPrior(
        median_s=float(np.exp(np.median(logs))),
        log_sd=math.hypot(float(logs.std()), _DAY_TO_DAY),
        source=f"{len(used)} earlier runs on this track",
    )
