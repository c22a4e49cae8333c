"""When to stop running: the verdict on two cars, and how many more runs it would take."""

from __future__ import annotations

import math
from enum import StrEnum
from typing import Final

import numpy as np
import numpy.typing as npt

from hillbench.timing.design import Floats

LEAST_RUNS: Final = 3
"""Runs of each car before the first look."""

MOST_RUNS: Final = 10
"""Runs of each car after which more are seldom worth it."""

SURE: Final = 0.95
"""Probability at which a car is called the faster."""

HEADLINE_SURE: Final = 0.975
"""Probability at which a change may be said to work; looks at every run need the margin."""

TOO_CLOSE_SURE: Final = 0.80
"""Probability at which two cars are called too close to matter."""

_MOST_PAIRS: Final = 60
_AS_LIKELY_AS_NOT: Final = 0.5


class Verdict(StrEnum):
    """What the runs so far say about two cars."""

    FIRST = "first"
    SECOND = "second"
    TOO_CLOSE = "too close to matter"
    KEEP_RUNNING = "keep running"


def decide(
    probability_first_faster: float,
    probability_too_close: float,
    least_runs: int,
    *,
    sure: float = SURE,
) -> Verdict:
    """Return the verdict.

    Parameters
    ----------
    probability_first_faster
        Probability that the first car is the faster.
    probability_too_close
        Probability that the gap is less than what matters.
    least_runs
        Timed runs of the car that has fewer.
    sure
        Probability at which a car is called the faster.
    """
    if least_runs < LEAST_RUNS:
        return Verdict.KEEP_RUNNING
    if probability_first_faster > sure:
        return Verdict.FIRST
    if probability_first_faster < 1.0 - sure:
        return Verdict.SECOND
    if probability_too_close > TOO_CLOSE_SURE:
        return Verdict.TOO_CLOSE
    return Verdict.KEEP_RUNNING


def pairs_still_needed(
    gap_s: Floats,
    gap_sd_s: Floats,
    spread_s: float,
    matters_s: float,
    least_runs: npt.NDArray[np.int_],
) -> npt.NDArray[np.int_]:
    """Return how many more runs of each car make a verdict as likely as not.

    Parameters
    ----------
    gap_s, gap_sd_s
        Estimate of each gap and its standard deviation, s, shape (k,).
    spread_s
        Standard deviation of one clean run, s.
    matters_s
        Gap below which nobody cares, s, 0 or more.
    least_runs
        Timed runs so far of the car of each pair that has fewer, shape (k,).

    Returns
    -------
    array of int
        Shape (k,); −1 where more than 60 would be needed.

    Notes
    -----
    Normal pre-posterior analysis (Raiffa and Schlaifer, Applied Statistical Decision Theory,
    1961, chapter 5): k more pairs make the variance v' = 1/(1/v + k/(2σ²)), and the estimate
    they will lead to is now N(m, v − v').
    """
    needed = np.full(gap_s.shape, -1, dtype=np.int_)
    for pairs in range(1, _MOST_PAIRS + 1):
        open_ = (needed < 0) & (least_runs + pairs >= LEAST_RUNS)
        if not open_.any():
            continue
        chance = verdict_chance(gap_s[open_], gap_sd_s[open_], spread_s, matters_s, pairs)
        places = np.flatnonzero(open_)
        needed[places[chance >= _AS_LIKELY_AS_NOT]] = pairs
        if (needed >= 0).all():
            break
    return needed


def verdict_chance(
    gap_s: Floats, gap_sd_s: Floats, spread_s: float, matters_s: float, pairs: int
) -> Floats:
    """Return the probability of a verdict after `pairs` more runs of each car, shape (k,)."""
    from scipy.special import ndtr, ndtri

    variance = gap_sd_s**2
    later = 1.0 / (1.0 / variance + pairs / (2.0 * spread_s**2))
    later_sd = np.sqrt(later)
    travel = np.sqrt(np.maximum(variance - later, 1e-300))
    beyond = float(ndtri(SURE)) * later_sd
    claim = ndtr((gap_s - beyond) / travel) + ndtr((-gap_s - beyond) / travel)
    within = np.minimum(_close_reach(later_sd, matters_s), beyond)
    close = ndtr((within - gap_s) / travel) - ndtr((-within - gap_s) / travel)
    chance: Floats = claim + np.where(within > 0.0, close, 0.0)
    return chance


def runs_to_see(
    difference_s: float, spread_s: float, *, sure: float = SURE, power: float = 0.8
) -> float:
    """Return the runs of each car by which a true difference would be claimed.

    Parameters
    ----------
    difference_s
        True difference, s, more than 0.
    spread_s
        Standard deviation of one run, s.
    sure
        Probability asked for the claim.
    power
        Chance with which the claim is then made.

    Notes
    -----
    n = 2 (z_sure + z_power)² σ²/d², the normal limit of the power of the two-sample t test
    (Cohen, Statistical Power Analysis, 2nd ed. 1988, section 2.4).
    """
    from scipy.special import ndtri

    reach = float(ndtri(sure)) + float(ndtri(power))
    return 2.0 * (reach * spread_s / difference_s) ** 2


def least_mattering(spread_s: float) -> float:
    """Return what is taken to matter where nobody said: one spread, to two figures."""
    if not spread_s > 0.0:
        return 0.0
    digits = 1 - math.floor(math.log10(spread_s))
    return round(spread_s, digits)


def _close_reach(sd: Floats, matters_s: float) -> Floats:
    """Return the largest estimate at which "too close" would be said; negative if none."""
    from scipy.special import ndtr

    low, high = np.full(sd.shape, 0.0), np.full(sd.shape, matters_s)
    possible = ndtr(matters_s / sd) - ndtr(-matters_s / sd) > TOO_CLOSE_SURE
    for _ in range(30):
        middle = (low + high) / 2.0
        sure = ndtr((matters_s - middle) / sd) - ndtr((-matters_s - middle) / sd)
        said = sure > TOO_CLOSE_SURE
        low, high = np.where(said, middle, low), np.where(said, high, middle)
    return np.where(possible, low, -1.0)
