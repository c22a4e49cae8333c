"""Limits of metric miniature threads, 6g and 6H, rounded as the tables of the standard are."""

from __future__ import annotations

import math
from typing import Final

from hillbench.fastening.span import ExternalLimits, InternalLimits, Span
from hillbench.fastening.thread import Thread

_R40: Final = (
    *(100, 106, 112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236, 250),
    *(265, 280, 300, 315, 335, 355, 375, 400, 425, 450, 475, 500, 530, 560, 600, 630, 670),
    *(710, 750, 800, 850, 900, 950, 1000),
)
"""Preferred numbers to which ISO 965-1 rounds tolerances (ISO 3, series R 40), hundredfold."""

_DIAMETER_STEPS_MM: Final = (0.99, 1.4, 2.8, 5.6, 11.2)


def preferred(value_um: float) -> float:
    """Return the nearest preferred number of the series R 40."""
    scale = 10.0 ** (math.floor(math.log10(value_um)) - 2)
    return min(_R40, key=lambda number: abs(number - value_um / scale)) * scale


def metric_external(thread: Thread) -> ExternalLimits:
    """Return the limits of a screw to 6g.

    Notes
    -----
    In µm with P and d in mm: es = -(15 + 11 P), Td = 180 P^(2/3) - 3.15 P^(-1/2), and
    Td2 = 90 P^0.4 d^0.1 with d the geometric mean of the step of diameters, the tolerances
    rounded to R 40. ISO 965-1:1998, clause 13 (from memory). Root with the least radius
    P/8: d2 - H + P/4.
    """
    pitch = thread.pitch_mm
    allowance = round(15.0 + 11.0 * pitch) / 1000.0
    major_tolerance = preferred(180.0 * math.cbrt(pitch) ** 2 - 3.15 / math.sqrt(pitch)) / 1000.0
    pitch_tolerance = preferred(_pitch_tolerance_um(thread)) / 1000.0
    major_most = thread.major_mm - allowance
    pitch_most = round(thread.pitch_diameter_mm, 3) - allowance
    pitch_least = pitch_most - pitch_tolerance
    return ExternalLimits(
        "6g",
        allowance,
        Span(major_most - major_tolerance, major_most),
        Span(pitch_least, pitch_most),
        thread.root_mm - allowance,
        pitch_least - thread.sharp_height_mm + pitch / 4.0,
    )


def metric_internal(thread: Thread) -> InternalLimits:
    """Return the limits of a tapped hole to 6H.

    Notes
    -----
    In µm: TD1 = 433 P - 190 P^1.22 up to P = 0.8 mm, TD2 = 1.32 Td2. ISO 965-1:1998, clause 13
    (from memory).
    """
    pitch = thread.pitch_mm
    minor_tolerance = preferred(433.0 * pitch - 190.0 * math.pow(pitch, 1.22)) / 1000.0
    pitch_tolerance = preferred(1.32 * _pitch_tolerance_um(thread)) / 1000.0
    minor, middle = round(thread.minor_mm, 3), round(thread.pitch_diameter_mm, 3)
    return InternalLimits(
        "6H",
        Span(minor, minor + minor_tolerance),
        Span(middle, middle + pitch_tolerance),
        thread.major_mm,
    )


def _pitch_tolerance_um(thread: Thread) -> float:
    above = next(step for step in _DIAMETER_STEPS_MM if thread.major_mm <= step)
    below = _DIAMETER_STEPS_MM[_DIAMETER_STEPS_MM.index(above) - 1]
    return 90.0 * math.pow(thread.pitch_mm, 0.4) * math.pow(below * above, 0.05)
