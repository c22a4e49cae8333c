"""How earlier forecasts turned out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.fitting.unknown import NINETY_PERCENT

FEWEST: Final = 5
"""Forecasts below which nothing is said of how good they are."""


@dataclass(frozen=True, slots=True)
class KeptForecast:
    """A forecast of a gain beside what the clock said afterwards.

    Attributes
    ----------
    gain_s, gain_low_s, gain_high_s
        The forecast, with its 90 % interval, s.
    clock_gain_s
        Gain by the clock, s.
    clock_uncertainty_s
        Standard uncertainty of that, s.
    """

    gain_s: float
    gain_low_s: float
    gain_high_s: float
    clock_gain_s: float
    clock_uncertainty_s: float

    @property
    def held(self) -> bool:
        """Whether the clock's gain is within the interval, the clock's own scatter allowed for.

        Notes
        -----
        Each half of the interval and 1.645 clock uncertainties add in quadrature (JCGM
        100:2008, 5.1.2), so that 90 % hold when both are right.
        """
        off = self.clock_gain_s - self.gain_s
        half = self.gain_high_s - self.gain_s if off > 0.0 else self.gain_s - self.gain_low_s
        return abs(off) <= math.hypot(half, NINETY_PERCENT * self.clock_uncertainty_s)


@dataclass(frozen=True, slots=True)
class Scoreboard:
    """How kept forecasts turned out.

    Attributes
    ----------
    count, held
        Number of forecasts, and of those whose 90 % interval held.
    share_low, share_high
        90 % interval of the rate at which they hold.
    mean_error_s, mean_error_uncertainty_s
        Mean of clock less forecast, s, with its standard uncertainty; positive where changes
        gain more than forecast.
    sentence
        All that in a sentence.
    """

    count: int
    held: int
    share_low: float
    share_high: float
    mean_error_s: float
    mean_error_uncertainty_s: float
    sentence: str


def score_forecasts(forecasts: Sequence[KeptForecast]) -> Scoreboard:
    """Return how forecasts turned out.

    Notes
    -----
    The interval of the rate is that of Clopper and Pearson (Biometrika 26 (1934) 404-413).
    """
    from scipy.stats import beta

    count = len(forecasts)
    held = sum(one.held for one in forecasts)
    low = float(beta.ppf(0.05, held, count - held + 1)) if held else 0.0
    high = float(beta.ppf(0.95, held + 1, count - held)) if held < count else 1.0
    errors = [one.clock_gain_s - one.gain_s for one in forecasts]
    mean = math.fsum(errors) / count if count else 0.0
    square = math.fsum((error - mean) ** 2 for error in errors)
    spread = math.sqrt(square / (count - 1) / count) if count > 1 else math.inf
    sentence = _sentence(count, held, (low, high), mean, spread)
    return Scoreboard(count, held, low, high, mean, spread, sentence)


def _sentence(
    count: int, held: int, share: tuple[float, float], mean_s: float, spread_s: float
) -> str:
    if count == 0:
        return "No forecast has been held against the clock yet."
    told = f"The 90 % interval held in {held} of {count} forecasts"
    if count < FEWEST:
        return f"{told}: too few to say how good they are."
    if share[1] < 0.9:
        return f"{told}: they are surer of themselves than they should be."
    if abs(mean_s) > 2.0 * spread_s:
        more = "more" if mean_s > 0.0 else "less"
        return f"{told}, but changes gain {abs(mean_s):.3f} s {more} than forecast on average."
    mean = f"{mean_s:+.3f}".replace("-", "−")
    return f"{told}, and they are right on average ({mean} ± {spread_s:.3f} s)."
