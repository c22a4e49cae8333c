"""What a drill takes off: volume times density, with its uncertainty."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from hillbench.errors import InvalidInput, Problem
from hillbench.uncertainty import Estimate, half_width_uncertainty

DENSITY_G_CM3: Final[Mapping[str, tuple[float, float]]] = {
    "zinc": (6.6, 0.1),
    "aluminium": (2.74, 0.05),
    "brass": (8.5, 0.1),
    "abs": (1.05, 0.02),
}
"""Density of what posts and bases are made of and half of its range, g/cm³.

Zamak 3, 6.6: ASTM B86-18, from memory. A380, C36000 and ABS: from memory.
"""

POINT_ANGLE_DEG: Final = 118.0
"""Angle of the point of a common twist drill; common practice, no source."""

DIAMETER_HALF_WIDTH_MM: Final = 0.05
"""How far a hole by hand may be off its drill, mm; common practice, no source."""

DEPTH_HALF_WIDTH_MM: Final = 0.3
"""How far a depth by a ring of tape may be off, mm; common practice, no source."""


def hole_volume_mm3(diameter_mm: float, depth_mm: float) -> float:
    """Return the volume of a blind hole with the cone of the drill's point below it, mm³.

    Parameters
    ----------
    diameter_mm
        Of the drill, mm.
    depth_mm
        To the end of the full diameter, mm.
    """
    cone_mm = diameter_mm / 2.0 / math.tan(math.radians(POINT_ANGLE_DEG / 2.0))
    return math.pi / 4.0 * diameter_mm**2 * (depth_mm + cone_mm / 3.0)


def drilled_mass(
    diameter_mm: float, depth_mm: float, material: str, *, there_mm: float = 0.0
) -> Estimate:
    """Return the mass that a drill takes out of a post, g.

    Parameters
    ----------
    diameter_mm
        Of the drill, mm.
    depth_mm
        To the end of the full diameter, mm.
    material
        One of `DENSITY_G_CM3`.
    there_mm
        Diameter of a hole of the same depth that is there already, mm.

    Raises
    ------
    InvalidInput
        If a size is not above zero or the material unknown.

    Notes
    -----
    Volume times density; the uncertainty by the law of propagation (JCGM 100:2008, 5.1.2) from
    diameter, depth and density, each known to lie within limits (4.3.7).
    """
    problems = [
        Problem(where, f"{value:g} mm", "more than 0 mm", "measure it")
        for where, value in (("diameter_mm", diameter_mm), ("depth_mm", depth_mm))
        if not value > 0.0
    ]
    if material not in DENSITY_G_CM3:
        problems.append(Problem("material", repr(material), f"one of {', '.join(DENSITY_G_CM3)}"))
    if problems:
        raise InvalidInput(problems)
    density, half = DENSITY_G_CM3[material]
    volume = hole_volume_mm3(diameter_mm, depth_mm)
    if there_mm > 0.0:
        volume -= min(hole_volume_mm3(there_mm, depth_mm), volume)
    mass_g = volume / 1000.0 * density
    wall = math.pi * diameter_mm * depth_mm / 2.0
    floor = math.pi / 4.0 * max(diameter_mm**2 - there_mm**2, 0.0)
    parts_g = (
        wall * half_width_uncertainty(DIAMETER_HALF_WIDTH_MM) / 1000.0 * density,
        floor * half_width_uncertainty(DEPTH_HALF_WIDTH_MM) / 1000.0 * density,
        volume / 1000.0 * half_width_uncertainty(half),
    )
    return Estimate(mass_g, math.hypot(*parts_g))


def head_mass(head_diameter_mm: float, head_height_mm: float, material: str) -> Estimate:
    """Return the mass of a rivet's head that is drilled away, g.

    Parameters
    ----------
    head_diameter_mm, head_height_mm
        The head as measured, mm.
    material
        One of `DENSITY_G_CM3`.

    Notes
    -----
    Between a cone, a third of the cylinder, and the whole cylinder: two thirds, and all of that
    range equally likely (JCGM 100:2008, 4.3.7).
    """
    density, _ = DENSITY_G_CM3[material]
    cylinder_g = math.pi / 4.0 * head_diameter_mm**2 * head_height_mm / 1000.0 * density
    return Estimate(2.0 / 3.0 * cylinder_g, half_width_uncertainty(cylinder_g / 3.0))
