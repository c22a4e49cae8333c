"""Tell what would be called a real difference on a track."""

from __future__ import annotations

import math
from typing import Final

from hillbench.timing.prior import GENERAL, SpreadPrior
from hillbench.timing.stopping import SURE
from hillbench.timing.textbook import REPEATABILITY_FACTOR
from hillbench.usecases.tell_comparison import short_time

RUNS_EACH: Final = 5
"""Runs of each car for which a real difference is told: what an evening allows."""

POWER: Final = 0.8
"""Chance with which such a difference is seen."""


def real_difference_s(spread_s: float) -> float:
    """Return the difference that five runs of each car show with 80 % chance.

    Notes
    -----
    d = (z_sure + z_power) σ √(2/n), `hillbench.timing.stopping.runs_to_see` turned round.
    """
    from scipy.special import ndtri  # slow to load, and not needed by every page

    reach = float(ndtri(SURE)) + float(ndtri(POWER))
    return reach * spread_s * math.sqrt(2.0 / RUNS_EACH)


def tell_real_difference(spread: SpreadPrior) -> str:
    """Return what would be called a real difference where runs spread so much."""
    difference = short_time(_rounded(real_difference_s(spread.median_s)))
    limit = short_time(_rounded(REPEATABILITY_FACTOR * spread.median_s))
    text = (
        f"A real difference here is about {difference}: {RUNS_EACH} runs of each car show it four"
        f" times in five. Two single runs of one car may differ by {limit}."
    )
    if spread.source == GENERAL:
        return f"{text} This is general experience; runs on this track will say more."
    return f"{text} From {spread.source}."


def _rounded(time_s: float) -> float:
    """Return a time to two figures, and never finer than a thousandth."""
    digits = 1 - math.floor(math.log10(time_s)) if time_s > 0.0 else 0
    return round(time_s, min(digits, 3))
