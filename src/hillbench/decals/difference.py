"""How different two colours look: CIEDE2000."""

from __future__ import annotations

import math
from typing import Final

from hillbench.decals.colour import Colour, lab

Lab = tuple[float, float, float]

_ANTIPODAL_DEG: Final = 180.0 + 1e-9
"""Two hues exactly opposite count as 180° apart, whichever way the last digit was rounded."""

_25_7: Final = 25.0**7


def delta_e_2000(first: Colour, second: Colour) -> float:
    """Return the difference of two sRGB colours; about 1 is just seen side by side."""
    return ciede2000(lab(first), lab(second))


def ciede2000(first: Lab, second: Lab) -> float:
    """Return the CIEDE2000 difference of two CIELAB colours, all weights 1.

    Notes
    -----
    G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference formula", Color Research
    and Application 30 (2005) 21-30, doi:10.1002/col.20070, eqs. 2 to 22. The colours are taken
    as given, with no adaptation to another white.
    """
    chroma_mean = (math.hypot(first[1], first[2]) + math.hypot(second[1], second[2])) / 2.0
    stretch = 1.5 - 0.5 * _saturation(chroma_mean)
    chroma_1, hue_1 = _polar(first, stretch)
    chroma_2, hue_2 = _polar(second, stretch)
    lightness, chroma = (first[0] + second[0]) / 2.0, (chroma_1 + chroma_2) / 2.0
    hue_step, hue = _hues(hue_1, hue_2, neutral=chroma_1 * chroma_2 == 0.0)
    big_hue = 2.0 * math.sqrt(chroma_1 * chroma_2) * math.sin(math.radians(hue_step) / 2.0)
    away = (lightness - 50.0) ** 2
    parts = (
        (second[0] - first[0]) / (1.0 + 0.015 * away / math.sqrt(20.0 + away)),
        (chroma_2 - chroma_1) / (1.0 + 0.045 * chroma),
        big_hue / (1.0 + 0.015 * chroma * _hue_weight(hue)),
    )
    turn = 30.0 * math.exp(-(((hue - 275.0) / 25.0) ** 2))
    rotation = -2.0 * _saturation(chroma) * math.sin(math.radians(2.0 * turn))
    squares = sum(part * part for part in parts) + rotation * parts[1] * parts[2]
    return math.sqrt(max(squares, 0.0))


def _saturation(chroma: float) -> float:
    return math.sqrt(chroma**7 / (chroma**7 + _25_7))


def _polar(colour: Lab, stretch: float) -> tuple[float, float]:
    """Return chroma and hue (degrees) with a* stretched."""
    a, b = stretch * colour[1], colour[2]
    return math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360.0


def _hues(first_deg: float, second_deg: float, *, neutral: bool) -> tuple[float, float]:
    """Return the step from one hue to the other and their mean, degrees."""
    if neutral:
        return 0.0, first_deg + second_deg
    step, total = second_deg - first_deg, first_deg + second_deg
    if abs(step) <= _ANTIPODAL_DEG:
        return step, total / 2.0
    around = step - math.copysign(360.0, step)
    return around, (total + 360.0 if total < 360.0 else total - 360.0) / 2.0


def _hue_weight(hue_deg: float) -> float:
    def cosine(times: float, less_deg: float) -> float:
        return math.cos(math.radians(times * hue_deg - less_deg))

    return (
        1.0
        - 0.17 * cosine(1.0, 30.0)
        + 0.24 * cosine(2.0, 0.0)
        + 0.32 * cosine(3.0, -6.0)
        - 0.20 * cosine(4.0, 63.0)
    )
