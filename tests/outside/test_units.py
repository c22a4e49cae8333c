"""Units against their definitions and a general-purpose units package."""

from __future__ import annotations

from typing import Any

import pint
import pytest

from hillbench import constants, units
from hillbench.units import Dimension, parse_quantity
from tests.outside.registry import Outside

AREA = "Units and constants"
SP811 = "NIST SP 811 (2008), appendix B"


@pytest.mark.parametrize(
    ("name", "text", "dimension", "expected", "unit", "source"),
    [
        ("avoirdupois ounce", "1 oz", units.MASS, 28.349523125, "g", SP811),
        ("two ounces", "2 oz", units.MASS, 56.69904625, "g", SP811),
        ("grain", "1 gr", units.MASS, 0.06479891, "g", SP811),
        ("pound", "1 lb", units.MASS, 453.59237, "g", SP811),
        ("inch", "1 in", units.LENGTH, 25.4, "mm", SP811),
        ("5/64 inch", "5/64 in", units.LENGTH, 0.078125 * 25.4, "mm", SP811),
        ("3/64 inch", '3/64"', units.LENGTH, 0.046875 * 25.4, "mm", SP811),
        ("foot", "1 ft", units.LENGTH, 304.8, "mm", SP811),
        ("60 feet along a track", "60 ft", units.DISTANCE, 18.288, "m", SP811),
        ("square inch", "1 in2", units.AREA, 6.4516, "cm²", SP811),
        ("mile per hour", "1 mph", units.SPEED, 0.44704, "m/s", SP811),
        ("kilometre per hour", "36 km/h", units.SPEED, 10.0, "m/s", "SI Brochure (2019)"),
        ("right angle in radians", "1.5707963267948966 rad", units.ANGLE, 90.0, "°", "π/2"),
    ],
)
def test_definitions(
    outside: Outside,
    name: str,
    text: str,
    dimension: Dimension,
    expected: float,
    unit: str,
    source: str,
) -> None:
    got = parse_quantity(text, dimension, "", "value")
    outside.check(
        name, source=source, how="exact", expected=expected, got=got, rel=1e-15, unit=unit
    )


def test_every_unit_agrees_with_pint(outside: Outside) -> None:
    registry: Any = pint.UnitRegistry()
    named = {"gr": "grain", '"': "inch", "'": "foot", "°": "degree", "mn": "millinewton"}
    named |= {"n": "newton", "cm²": "cm2", "mm²": "mm2", "in²": "in2", "sec": "second"}
    bases = [
        (units.MASS, "gram"),
        (units.LENGTH, "millimeter"),
        (units.DISTANCE, "meter"),
        (units.AREA, "centimeter ** 2"),
        (units.ANGLE, "degree"),
        (units.TIME, "second"),
        (units.SPEED, "meter / second"),
        (units.FORCE, "millinewton"),
    ]
    worst = 0.0
    for dimension, base in bases:
        for unit, factor in dimension.factors.items():
            asked = named.get(unit, unit).replace("2", " ** 2")
            expected = registry.Quantity(1.0, asked).to(base).magnitude
            worst = max(worst, abs(factor / expected - 1.0))
    outside.check(
        "every unit of every dimension, largest relative difference",
        source=f"pint {pint.__version__}",
        how="run",
        expected=0.0,
        got=worst,
        within=4e-15,
    )


def test_standard_gravity(outside: Outside) -> None:
    outside.check(
        "standard gravity",
        source="3rd CGPM (1901); ISO 80000-3",
        how="exact",
        expected=9.80665,
        got=constants.STANDARD_GRAVITY_M_S2,
        rel=0.0,
        unit="m/s²",
    )


def test_scale_speed(outside: Outside) -> None:
    outside.check(
        "1 m/s at 1:64, by length alone, in miles per hour",
        source="arithmetic on the definition of the mile per hour",
        how="exact",
        expected=143.164,
        got=units.convert(64.0, units.SPEED, "mph"),
        within=5e-4,
        unit="mph",
    )
