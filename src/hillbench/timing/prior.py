"""What is known about times on a track before the runs at hand."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

REFERENCE_TIME_S: Final = 10.5
"""Typical time for which the constants below stand; they scale with the typical time."""

GENERAL: Final = "general experience"
"""Source of a prior that knows no earlier run of the track."""

_CAR_GAP_S: Final = 0.15  # 1.4 % of the typical time
_SPREAD_S: Final = 0.06  # 0.6 %
_LANE_S: Final = 0.03  # 0.3 %
_DRIFT_S_PER_RUN: Final = 0.01  # 0.1 %
_BAD_S: Final = 0.30  # 3 %
_LEAST_SPREAD_S: Final = 0.006
_GREATEST_SPREAD_S: Final = 0.5


@dataclass(frozen=True, slots=True)
class SpreadPrior:
    """What is known about the spread of clean runs: log-normal.

    Attributes
    ----------
    median_s
        Median of the standard deviation of one run, s.
    log_sd
        Standard deviation of its natural logarithm.
    source
        Where this comes from, to be told with each answer.
    """

    median_s: float
    log_sd: float
    source: str


@dataclass(frozen=True, slots=True)
class Prior:
    """What is known before the runs at hand, in seconds.

    Attributes
    ----------
    typical_s
        Typical time on the track; all that follows scales with it.
    car_gap_s
        Standard deviation of the difference between two cars.
    lane_s, outing_s
        Standard deviation of what a lane, or an outing, adds.
    drift_s_per_run
        Standard deviation of the steady drift from one run to the next.
    spread
        Prior of the standard deviation of clean runs.
    least_spread_s, greatest_spread_s
        Bounds of that standard deviation.
    bad_s
        Mean time that a bad run loses; it can only lose.
    good_count, bad_count
        Parameters of the Beta distribution of the share of bad runs.
    noted_bad_share
        Share of bad runs among those that were noted as a snag.
    misfire_share
        Share of times that say nothing about the car, such as a misfired timer.
    """

    typical_s: float
    car_gap_s: float
    lane_s: float
    outing_s: float
    drift_s_per_run: float
    spread: SpreadPrior
    least_spread_s: float
    greatest_spread_s: float
    bad_s: float
    bad_count: float = 1.0
    good_count: float = 15.0
    noted_bad_share: float = 0.8
    misfire_share: float = 0.002


def prior_for(
    typical_s: float,
    *,
    spread: SpreadPrior | None = None,
    reading_uncertainty_s: float = 0.0,
) -> Prior:
    """Return what is known before the first run, for a track of a typical time.

    Parameters
    ----------
    typical_s
        Typical finish time, s, more than 0.
    spread
        What the track's earlier runs say about the spread; general experience otherwise.
    reading_uncertainty_s
        Standard uncertainty of one reading of the clock, s: rounding, or a thumb on a phone.
        The spread of runs cannot be less, and is expected to be that much more.

    Notes
    -----
    The constants are our own, set for times near 10.5 s and scaled in proportion:
    1.4 % (difference of cars), 0.6 % (spread), 0.3 % (lane), 0.1 % (drift per run) and
    3 % (loss of a bad run) of the typical time. What an outing adds is taken as weakly known
    as the difference of cars. ``docs/theory/timing.md`` says how they were tried.
    """
    if not (math.isfinite(typical_s) and typical_s > 0.0):
        raise ValueError(f"typical time is {typical_s}; it must be more than 0 s")
    scale = typical_s / REFERENCE_TIME_S
    if spread is None:
        median_s = math.hypot(_SPREAD_S * scale, reading_uncertainty_s)
        spread = SpreadPrior(median_s, 0.8, GENERAL)
    least_s = max(_LEAST_SPREAD_S * scale, reading_uncertainty_s)
    return Prior(
        typical_s=typical_s,
        car_gap_s=_CAR_GAP_S * scale,
        lane_s=_LANE_S * scale,
        outing_s=_CAR_GAP_S * scale,
        drift_s_per_run=_DRIFT_S_PER_RUN * scale,
        spread=spread,
        least_spread_s=least_s,
        greatest_spread_s=max(_GREATEST_SPREAD_S * scale, 8.0 * least_s),
        bad_s=_BAD_S * scale,
    )
