"""The unit in which a picture writes lengths along and across a track."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from hillbench import constants
from hillbench.pictures.scale import figure, nice_ticks, short_figure, tick_figure


@dataclass(frozen=True, slots=True)
class LengthUnit:
    """A unit of length.

    Attributes
    ----------
    symbol
        As it stands behind a number.
    per_m
        How many of it are one metre.
    """

    symbol: str
    per_m: float

    def told(self, length_m: float, digits: int = 3) -> str:
        """Return a length to `digits` figures that count, with its unit."""
        return f"{short_figure(length_m * self.per_m, digits)} {self.symbol}"

    def fixed(self, length_m: float, decimals: int) -> str:
        """Return a length with a fixed count of decimals and its unit."""
        return f"{figure(length_m * self.per_m, decimals)} {self.symbol}"

    def ticks(self, low_m: float, high_m: float, most: int) -> tuple[tuple[float, str], ...]:
        """Return places in m that are round in this unit, each with its number."""
        ticks = nice_ticks(low_m * self.per_m, high_m * self.per_m, most)
        step = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
        return tuple((tick / self.per_m, tick_figure(tick, step)) for tick in ticks)


METRE: Final = LengthUnit("m", 1.0)
FOOT: Final = LengthUnit("ft", 1000.0 / constants.MM_PER_FOOT)

LENGTH_UNITS: Final[Mapping[str, LengthUnit]] = {"m": METRE, "ft": FOOT}
"""Every unit by its symbol."""
