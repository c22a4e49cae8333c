"""Quantities on screen: the reader's unit first, the other beside it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from hillbench import units
from hillbench.web.preferences import Preferences

_DECIMALS: Final[Mapping[str, int]] = {
    "g": 2,
    "oz": 3,
    "mm": 2,
    "in": 3,
    "m": 2,
    "ft": 2,
    "cm2": 1,
    "in2": 2,
    "deg": 1,
    "s": 3,
    "m/s": 2,
    "mn": 2,
}
_SYMBOLS: Final[Mapping[str, str]] = {
    "cm2": "cm²",
    "in2": "in²",
    "deg": "°",
    "mn": "mN",
}
_OTHER: Final[Mapping[str, str]] = {
    "g": "oz",
    "oz": "g",
    "mm": "in",
    "in": "mm",
    "m": "ft",
    "ft": "m",
}
_MOST_DECIMALS: Final = 6


@dataclass(frozen=True, slots=True)
class Figure:
    """One number as it is written, with its unit apart so that it can be set smaller.

    Attributes
    ----------
    number
        With a true minus sign, rounded.
    unit
        Symbol; empty for a bare number.
    uncertainty
        Standard uncertainty rounded to one or two digits, same unit; empty where unknown.
    """

    number: str
    unit: str
    uncertainty: str = ""

    def __str__(self) -> str:
        spread = f" ± {self.uncertainty}" if self.uncertainty else ""
        gap = "" if self.unit in ("", "°") else " "
        return f"{self.number}{spread}{gap}{self.unit}"

    def trimmed(self) -> Figure:
        """Return it without zeros at the end that say nothing."""
        if "." not in self.number or self.uncertainty:
            return self
        return replace(self, number=self.number.rstrip("0").rstrip("."))


@dataclass(frozen=True, slots=True)
class Shown:
    """A quantity in the reader's unit and, where there is one, in the other unit."""

    first: Figure
    other: Figure | None = None

    def trimmed(self) -> Shown:
        """Return it without zeros at the end, as for a value that was typed in."""
        return Shown(self.first.trimmed(), self.other)

    def __str__(self) -> str:
        return str(self.first)


@dataclass(frozen=True, slots=True)
class Showing:
    """Writes quantities as one reader prefers them; every argument is in the base unit."""

    preferences: Preferences

    def mass(self, mass_g: float, uncertainty_g: float | None = None) -> Shown:
        """Return a mass in g and oz."""
        return _both(mass_g, uncertainty_g, units.MASS, self.preferences.mass_unit)

    def small_mass(self, mass_g: float) -> str:
        """Return a small mass, such as an uncertainty, to one or two digits."""
        unit = self.preferences.mass_unit
        number = units.convert(mass_g, units.MASS, unit)
        decimals = _decimals_of_uncertainty(number) if number > 0.0 else 0
        return f"{number:.{decimals}f} {unit}"

    def step(self, step_g: float) -> str:
        """Return the smallest step of a scale, as it is told."""
        unit = self.preferences.mass_unit
        return f"{typed_again(step_g, units.MASS, unit)} {unit}"

    def length(self, length_mm: float, uncertainty_mm: float | None = None) -> Shown:
        """Return a length on a car in mm and in."""
        return _both(length_mm, uncertainty_mm, units.LENGTH, self.preferences.length_unit)

    def distance(self, distance_m: float, uncertainty_m: float | None = None) -> Shown:
        """Return a distance along a track in m and ft."""
        return _both(distance_m, uncertainty_m, units.DISTANCE, self.preferences.distance_unit)

    def area(self, area_cm2: float) -> Shown:
        """Return an area in cm², and in square inches where inches come first."""
        unit = "in2" if self.preferences.length_unit == "in" else "cm2"
        other = "cm2" if unit == "in2" else "in2"
        return Shown(
            _figure(area_cm2, None, units.AREA, unit), _figure(area_cm2, None, units.AREA, other)
        )

    def angle(self, angle_deg: float) -> Shown:
        """Return an angle in degrees."""
        return Shown(_figure(angle_deg, None, units.ANGLE, "deg"))

    def time(self, time_s: float, uncertainty_s: float | None = None) -> Shown:
        """Return a time in seconds, to the millisecond."""
        return Shown(_figure(time_s, uncertainty_s, units.TIME, "s"))

    def speed(self, speed_m_s: float) -> Shown:
        """Return a speed in metres per second."""
        return Shown(_figure(speed_m_s, None, units.SPEED, "m/s"))

    def force(self, force_mn: float) -> Shown:
        """Return a force in millinewtons."""
        return Shown(_figure(force_mn, None, units.FORCE, "mn"))

    def number(self, value: float) -> Shown:
        """Return a bare number to four significant digits."""
        return Shown(Figure(_signed(f"{value:.4g}"), ""))


def typed_again(value: float, dimension: units.Dimension, unit: str) -> str:
    """Return a value as it would be typed into a form in `unit`, without needless digits."""
    converted = units.convert(value, dimension, unit)
    return f"{converted:.{_DECIMALS.get(unit, 4) + 2}f}".rstrip("0").rstrip(".") or "0"


def _both(value: float, uncertainty: float | None, dimension: units.Dimension, unit: str) -> Shown:
    return Shown(
        _figure(value, uncertainty, dimension, unit),
        _figure(value, None, dimension, _OTHER[unit]),
    )


def _figure(
    value: float, uncertainty: float | None, dimension: units.Dimension, unit: str
) -> Figure:
    number = units.convert(value, dimension, unit)
    if not uncertainty:
        return Figure(_signed(f"{number:.{_DECIMALS[unit]}f}"), symbol(unit))
    spread = units.convert(uncertainty, dimension, unit)
    decimals = _decimals_of_uncertainty(spread)
    return Figure(_signed(f"{number:.{decimals}f}"), symbol(unit), f"{spread:.{decimals}f}")


def _decimals_of_uncertainty(number: float) -> int:
    """Return how many decimals an uncertainty is told with.

    Notes
    -----
    Three leading digits up to 354 are told by two digits, up to 949 by one, above that
    rounded up to 10. Particle Data Group, "Review of Particle Physics", introduction,
    section 5.3.
    """
    power = math.floor(math.log10(number))
    leading = round(number / 10.0 ** (power - 2))
    digits = 2 if leading <= 354 or leading >= 950 else 1
    decimals = digits - 1 - power - (1 if leading >= 950 else 0)
    return min(max(decimals, 0), _MOST_DECIMALS)


def symbol(unit: str) -> str:
    """Return a unit as it is written on screen (``cm²`` for ``cm2``)."""
    return _SYMBOLS.get(unit, unit)


def _signed(text: str) -> str:
    """Return the number with a true minus sign, and none before a zero."""
    if text.startswith("-") and not text.strip("-0."):
        return text[1:]
    return text.replace("-", "−")
