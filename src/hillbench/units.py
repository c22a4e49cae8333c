"""Quantities as people type them: numbers, fractions and units in, one unit out."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from hillbench import constants
from hillbench.errors import InvalidInput, Problem


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of quantity and the units it may be typed in.

    Attributes
    ----------
    name
        What it measures, for messages (``mass``).
    factors
        Size of each unit in the base unit; the base unit has factor 1. Names in lower case.
    """

    name: str
    factors: Mapping[str, float]


MASS: Final = Dimension(
    "mass",
    {
        "g": 1.0,
        "gram": 1.0,
        "grams": 1.0,
        "mg": 0.001,
        "kg": 1000.0,
        "oz": constants.GRAM_PER_OUNCE,
        "ounce": constants.GRAM_PER_OUNCE,
        "ounces": constants.GRAM_PER_OUNCE,
        "gr": constants.GRAM_PER_GRAIN,
        "grain": constants.GRAM_PER_GRAIN,
        "grains": constants.GRAM_PER_GRAIN,
        "lb": constants.GRAM_PER_POUND,
    },
)
"""Mass in grams."""

_LENGTH_IN_MM: Final = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": constants.MM_PER_INCH,
    "inch": constants.MM_PER_INCH,
    "inches": constants.MM_PER_INCH,
    '"': constants.MM_PER_INCH,
    "ft": constants.MM_PER_FOOT,
    "foot": constants.MM_PER_FOOT,
    "feet": constants.MM_PER_FOOT,
    "'": constants.MM_PER_FOOT,
}

LENGTH: Final = Dimension("length", _LENGTH_IN_MM)
"""Length in millimetres."""

DISTANCE: Final = Dimension(
    "distance", {name: factor / 1000.0 for name, factor in _LENGTH_IN_MM.items()}
)
"""Length in metres, along a track."""

AREA: Final = Dimension(
    "area", {"cm2": 1.0, "cm²": 1.0, "mm2": 0.01, "mm²": 0.01, "in2": 6.4516, "in²": 6.4516}
)
"""Area in square centimetres."""

ANGLE: Final = Dimension(
    "angle",
    {"deg": 1.0, "°": 1.0, "degree": 1.0, "degrees": 1.0, "rad": math.degrees(1.0)},
)
"""Angle in degrees."""

TIME: Final = Dimension("time", {"s": 1.0, "sec": 1.0, "ms": 0.001, "min": 60.0})
"""Time in seconds."""

SPEED: Final = Dimension(
    "speed", {"m/s": 1.0, "km/h": 1 / 3.6, "mph": constants.M_S_PER_MILE_PER_HOUR}
)
"""Speed in metres per second."""

FORCE: Final = Dimension("force", {"mn": 1.0, "n": 1000.0})
"""Force in millinewtons."""

NUMBER: Final = Dimension("number", {"": 1.0, "%": 0.01})
"""A bare number."""

_NUMBER_PATTERN: Final = re.compile(
    r"""^\s*(?P<sign>[+\-−])?\s*
    (?:(?:(?P<whole>\d+)[\s\-]+)?(?P<top>\d+)\s*/\s*(?P<bottom>\d+)
      |(?P<decimal>\d+(?:[.,]\d*)?|[.,]\d+)(?P<power>[eE][+\-]?\d+)?)
    \s*(?P<unit>[^\d\s].*?)?\s*$""",
    re.VERBOSE,
)
_LONGEST_TEXT: Final = 40


def parse_quantity(text: str, dimension: Dimension, default_unit: str, where: str) -> float:
    """Return a typed quantity in the base unit of its dimension.

    Parameters
    ----------
    text
        As typed: ``37.2``, ``37,2 g``, ``2 oz``, ``5/64 in``, ``1 1/2"``.
    dimension
        Kind of quantity expected.
    default_unit
        Unit of a bare number.
    where
        Name of the field, for the message.

    Raises
    ------
    InvalidInput
        If the text is no number, its unit is unknown or of another kind, or the value is
        not finite.
    """
    match = _NUMBER_PATTERN.match(text) if len(text) <= _LONGEST_TEXT else None
    if match is None:
        raise InvalidInput([_not_a_number(text, dimension, default_unit, where)])
    unit = (match["unit"] or default_unit).lower()
    if unit not in dimension.factors:
        raise InvalidInput([_unknown_unit(text, dimension, where)])
    value = _number(match)
    if value is None or not math.isfinite(value * dimension.factors[unit]):
        raise InvalidInput([_not_a_number(text, dimension, default_unit, where)])
    return value * dimension.factors[unit]


def convert(value: float, dimension: Dimension, unit: str) -> float:
    """Return a value of the dimension's base unit in `unit`."""
    return value / dimension.factors[unit]


def _number(match: re.Match[str]) -> float | None:
    sign = -1.0 if match["sign"] in ("-", "−") else 1.0
    if match["bottom"] is not None:
        if int(match["bottom"]) == 0:
            return None
        fraction = Fraction(int(match["top"]), int(match["bottom"]))
        return sign * float(int(match["whole"] or 0) + fraction)
    value = float(match["decimal"].replace(",", ".") + (match["power"] or ""))
    return sign * value if math.isfinite(value) else None


def _not_a_number(text: str, dimension: Dimension, unit: str, where: str) -> Problem:
    allowed = f"a {dimension.name} such as 12.5 {unit}".rstrip()
    return Problem(where, repr(text), allowed, "type a number, with its unit if you like")


def _unknown_unit(text: str, dimension: Dimension, where: str) -> Problem:
    known = ", ".join(name for name in dimension.factors if name) or "none"
    return Problem(where, repr(text), f"a {dimension.name} in one of: {known}", "change the unit")
