"""How large letters and strokes must be to be read, by eye or in a film."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

ARCMIN_LEAST: Final = 16.0
ARCMIN_GOOD: Final = 20.0
"""Height of a character as seen: least, and what is preferred (20 to 22); ISO 9241-3."""

FRAME_PIXELS_LEAST: Final = 9.0
FRAME_PIXELS_GOOD: Final = 20.0
"""Height of a character in a film frame: a matrix of 7 by 9 is the least for reading text
(ISO 9241-3, from memory); 20 px is common practice for text in pictures, no source."""

STROKE_SHARE: Final = 1.0 / 12.0
"""Stroke over height: 1/6 to 1/12 is easily read (ISO 9241-3, from memory)."""

STROKE_PRINTABLE_MM: Final = 0.2
"""Thinnest line that home printers keep on film: common practice, no source."""

_TURN_ARCMIN: Final = 21600.0


@dataclass(frozen=True, slots=True)
class Viewing:
    """How the car is looked at; without a frame, by eye.

    Attributes
    ----------
    distance_mm
        From the eye, mm.
    frame_width_mm
        Width of the scene that the film frame shows where the car is, mm; null for the eye.
    frame_width_px
        Width of the frame, px.
    speed_m_s
        Speed of the car across the frame, m/s.
    exposure_s
        Time of exposure of one frame, s.
    """

    distance_mm: float = 500.0
    frame_width_mm: float | None = None
    frame_width_px: float = 1920.0
    speed_m_s: float = 0.0
    exposure_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Sizes:
    """What can be read.

    Attributes
    ----------
    height_least_mm, height_good_mm
        Height of a capital letter or digit: just readable, and read with ease, mm.
    stroke_least_mm
        Thickness of a stroke, mm.
    blur_mm
        How far the car moves while one frame is exposed, mm.
    """

    height_least_mm: float
    height_good_mm: float
    stroke_least_mm: float
    blur_mm: float = 0.0


def character_height_mm(distance_mm: float, seen_arcmin: float) -> float:
    """Return the height of a character that is seen under an angle.

    Notes
    -----
    H = 2π·D·M / 21600 with M in minutes of arc: NUREG-0700 rev. 2 (2002), 1.3.1-4.
    """
    return math.tau * distance_mm * seen_arcmin / _TURN_ARCMIN


def readable_sizes(viewing: Viewing) -> Sizes:
    """Return how large letters and strokes must be.

    Notes
    -----
    In a film a stroke must be wider than a pixel and than the path the car makes while the frame
    is exposed; otherwise it smears into the next one.
    """
    if viewing.frame_width_mm is None:
        least = character_height_mm(viewing.distance_mm, ARCMIN_LEAST)
        good = character_height_mm(viewing.distance_mm, ARCMIN_GOOD)
        return Sizes(least, good, max(least * STROKE_SHARE, STROKE_PRINTABLE_MM))
    pixel_mm = viewing.frame_width_mm / viewing.frame_width_px
    blur_mm = 1000.0 * viewing.speed_m_s * viewing.exposure_s
    stroke_mm = max(pixel_mm, blur_mm, STROKE_PRINTABLE_MM)
    least = max(FRAME_PIXELS_LEAST * pixel_mm, 6.0 * blur_mm)
    return Sizes(least, max(FRAME_PIXELS_GOOD * pixel_mm, least), stroke_mm, blur_mm)


def farthest_mm(height_mm: float) -> float:
    """Return from how far a character can just be read, mm."""
    return height_mm * _TURN_ARCMIN / (math.tau * ARCMIN_LEAST)
