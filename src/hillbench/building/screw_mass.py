"""What a screw weighs, from its sizes."""

from __future__ import annotations

import math
from typing import Final

from hillbench.uncertainty import Estimate, half_width_uncertainty

STEEL_G_CM3: Final = 7.9
"""Density of steel and of stainless steel, within 0.1 g/cm³; from memory."""

_HEAD_SHARE: Final = 0.8
"""Part of its cylinder that a head fills: it is rounded and has a drive; common practice."""

_HALF_WIDTH: Final = 0.15
"""How far a screw may be off the sum of its cylinders, relative; common practice, no source."""


def screw_mass(
    pitch_diameter_mm: float, length_mm: float, head_diameter_mm: float, head_height_mm: float
) -> Estimate:
    """Return the mass of a steel screw, g.

    Parameters
    ----------
    pitch_diameter_mm
        Of its thread: what a thread leaves is about a cylinder of this diameter, mm.
    length_mm
        Under the head, mm.
    head_diameter_mm, head_height_mm
        Of its head, mm.
    """
    shank = math.pi / 4.0 * pitch_diameter_mm**2 * length_mm
    head = _HEAD_SHARE * math.pi / 4.0 * head_diameter_mm**2 * head_height_mm
    mass_g = (shank + head) / 1000.0 * STEEL_G_CM3
    return Estimate(mass_g, half_width_uncertainty(_HALF_WIDTH * mass_g))
