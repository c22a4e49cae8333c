"""From values to places on the paper, and back to figures a reader can take in."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

NO_BREAK: Final = "\u00a0"
"""A space at which a line does not end."""


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight scale from values to places on the paper.

    Attributes
    ----------
    low, high
        Values at its ends.
    low_px, high_px
        Places of its ends.
    """

    low: float
    high: float
    low_px: float
    high_px: float

    def __call__(self, value: float) -> float:
        """Return the place of a value."""
        return self.low_px + (value - self.low) * self.px_per_unit

    @property
    def px_per_unit(self) -> float:
        """How far one unit reaches on the paper; 0 for a scale without extent."""
        extent = self.high - self.low
        return (self.high_px - self.low_px) / extent if extent else 0.0


def nice_step(extent: float, most: int) -> float:
    """Return the smallest step of 1, 2 or 5 times a power of ten that divides into few parts.

    Parameters
    ----------
    extent
        Length to be divided, more than 0.
    most
        Greatest number of parts, at least 1.
    """
    raw = extent / most
    power = 10.0 ** math.floor(math.log10(raw))
    return next(factor * power for factor in (1.0, 2.0, 5.0, 10.0) if factor * power >= raw * 0.999)


def nice_ticks(low: float, high: float, most: int) -> tuple[float, ...]:
    """Return round values between `low` and `high`, at most `most` + 1 of them."""
    if not high > low:
        return (low,)
    step = nice_step(high - low, most)
    first = math.ceil(low / step - 1e-6)
    last = math.floor(high / step + 1e-6)
    return tuple(count * step for count in range(first, last + 1))


def figure(value: float, decimals: int) -> str:
    """Return a number with a fixed count of decimals and a true minus sign."""
    text = f"{value:.{decimals}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return text.replace("-", "−")


def tick_figure(value: float, step: float) -> str:
    """Return a tick's number with as many decimals as its step needs."""
    decimals = max(0, -math.floor(math.log10(step) + 1e-9)) if step > 0.0 else 2
    return figure(value, decimals)


def short_figure(value: float, digits: int = 3) -> str:
    """Return a number with `digits` figures that count, without an exponent."""
    if value == 0.0 or not math.isfinite(value):
        return figure(value, 0) if value == 0.0 else "∞"
    decimals = digits - 1 - math.floor(math.log10(abs(value)))
    return figure(value, min(max(decimals, 0), 4))


def share_figure(share: float) -> str:
    """Return a share as whole percent; a small part does not become nothing."""
    if 0.0 < share < 0.01:
        return f"under 1{NO_BREAK}%"
    return f"{figure(100.0 * share, 0)}{NO_BREAK}%"
