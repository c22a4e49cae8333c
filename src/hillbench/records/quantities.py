"""The quantities of a car that can be read off it, with their ranges and units."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from hillbench.coasting.car import CAR_RANGES
from hillbench.coasting.losses import LOSS_RANGES
from hillbench.errors import Problem

QUANTITIES: Final[Mapping[str, tuple[float, float, str]]] = {
    "wheelbase_mm": CAR_RANGES["wheelbase_mm"],
    "cg_ahead_of_rear_axle_mm": (0.0, CAR_RANGES["wheelbase_mm"][1], "mm"),
    "cg_height_mm": CAR_RANGES["cg_height_mm"],
    "nose_ahead_of_front_axle_mm": CAR_RANGES["nose_ahead_of_front_axle_mm"],
    "wheel_diameter_mm": CAR_RANGES["wheel_diameter_mm"],
    "axle_diameter_mm": CAR_RANGES["axle_diameter_mm"],
    "wheel_mass_g": CAR_RANGES["wheel_mass_g"],
    "wheel_inertia_factor": CAR_RANGES["wheel_inertia_factor"],
    "wheel_count": CAR_RANGES["wheel_count"],
    "drag_area_cm2": CAR_RANGES["drag_area_cm2"],
    "track_width_mm": CAR_RANGES["track_width_mm"],
    "bearing_friction": LOSS_RANGES["bearing_friction"],
    "steady_drag_mn": LOSS_RANGES["steady_drag_mn"],
    "bearing_load_exponent": LOSS_RANGES["bearing_load_exponent"],
}
"""Least and most of each quantity, with its unit. The mass has weighings of its own."""

ROUNDING: Final = 1e-9
"""Slack at the ends of a range, so that a typed -0.333333333 still is -1/3."""


def check_range(
    where: str, value: float, allowed: tuple[float, float, str], seen_as: str = ""
) -> tuple[Problem, ...]:
    """Return the problem of a value outside its range; empty when it is inside.

    Parameters
    ----------
    where
        Name of the field.
    value
        The value; a NaN is outside every range.
    allowed
        Least, most and unit.
    seen_as
        How the value is to be told, where "value unit" does not say enough.
    """
    least, most, unit = allowed
    if least - ROUNDING <= value <= most:
        return ()
    seen = seen_as or f"{value:g} {unit}".rstrip()
    remedy = "check the decimal point and the unit" if value > most and unit else ""
    return (Problem(where, seen, f"between {least:.4g} and {most:g} {unit}".rstrip(), remedy),)


def check_reading(quantity: str, value: float) -> tuple[Problem, ...]:
    """Return what is wrong with a value of one quantity; empty when nothing is."""
    if quantity not in QUANTITIES:
        return (Problem("quantity", repr(quantity), "one of: " + ", ".join(QUANTITIES)),)
    if quantity == "wheel_count" and math.isfinite(value) and value != int(value):
        return (Problem(quantity, f"{value:g}", "a whole number of wheels"),)
    return check_range(quantity, value, QUANTITIES[quantity])
