"""Limits of Unified threads, classes 1, 2 and 3, rounded as the tables of the standard are."""

from __future__ import annotations

import math
from typing import Final

from hillbench import constants
from hillbench.fastening.span import ExternalLimits, InternalLimits, Span
from hillbench.fastening.thread import Thread

_EXTERNAL_SHARE: Final = {1: 1.5, 2: 1.0, 3: 0.75}
_INTERNAL_SHARE: Final = {1: 1.95, 2: 1.3, 3: 0.975}
_INCH: Final = constants.MM_PER_INCH


def pitch_tolerance_in(thread: Thread) -> float:
    """Return the pitch diameter tolerance of class 2A, inches, unrounded.

    Notes
    -----
    0.0015 D^(1/3) + 0.0015 LE^(1/2) + 0.015 P^(2/3), with the length of engagement LE = D.
    ASME B1.1-2003, 5.8.1; the other classes are multiples of it.
    """
    major, pitch = thread.major_mm / _INCH, thread.pitch_mm / _INCH
    return 0.0015 * math.cbrt(major) + 0.0015 * math.sqrt(major) + 0.015 * math.cbrt(pitch) ** 2


def minor_tolerance_in(thread: Thread, grade: int) -> float:
    """Return the tolerance of the minor diameter of a tapped hole, inches, unrounded.

    Parameters
    ----------
    thread
        A Unified thread.
    grade
        Class 1, 2 or 3.

    Notes
    -----
    Below 1/4 in, and for class 3: 0.05 P^(2/3) + 0.03 P/D - 0.002, at most 0.394 P, at least
    0.25 P - 0.4 P² (class 3: 0.23 P - 1.5 P²). From 1/4 in, classes 1 and 2: 0.25 P - 0.4 P²,
    for 4 threads per inch and more. ASME B1.1-2003, 5.8.2 (from memory).
    """
    major, pitch = thread.major_mm / _INCH, thread.pitch_mm / _INCH
    coarse = 0.25 * pitch - 0.4 * pitch**2
    if grade < 3 and major > 0.25 - 1e-9:
        return coarse
    least = coarse if grade < 3 else 0.23 * pitch - 1.5 * pitch**2
    fine = 0.05 * math.cbrt(pitch) ** 2 + 0.03 * pitch / major - 0.002
    return min(max(fine, least), 0.394 * pitch)


def unified_external(thread: Thread, grade: int) -> ExternalLimits:
    """Return the limits of a screw of class 1A, 2A or 3A.

    Parameters
    ----------
    thread
        A Unified thread.
    grade
        Class 1, 2 or 3.

    Notes
    -----
    Allowance 0.3 of the class 2A tolerance for classes 1 and 2, none for class 3; tolerance
    of the major diameter 0.06 P^(2/3), for class 1 half as much again. ASME B1.1-2003, 5.8.
    """
    tolerance = pitch_tolerance_in(thread)
    allowance = 0.0 if grade == 3 else _four(0.3 * tolerance)
    share = 0.09 if grade == 1 else 0.06
    major_most = _four(thread.major_mm / _INCH) - allowance
    major_least = major_most - _four(share * math.cbrt(thread.pitch_mm / _INCH) ** 2)
    pitch_most = _four(thread.pitch_diameter_mm / _INCH) - allowance
    pitch_least = pitch_most - _four(_EXTERNAL_SHARE[grade] * tolerance)
    root_most = _four(thread.root_mm / _INCH) - allowance
    # A root rounded with the least radius, 0.108 P, lies H less twice that below the flanks.
    root_least = pitch_least - (thread.sharp_height_mm - 2.0 * 0.108 * thread.pitch_mm) / _INCH
    return ExternalLimits(
        f"{grade}A",
        allowance * _INCH,
        _span(major_least, major_most),
        _span(pitch_least, pitch_most),
        root_most * _INCH,
        root_least * _INCH,
    )


def unified_internal(thread: Thread, grade: int) -> InternalLimits:
    """Return the limits of a tapped hole of class 1B, 2B or 3B.

    Parameters
    ----------
    thread
        A Unified thread.
    grade
        Class 1, 2 or 3.
    """
    minor = _four(thread.minor_mm / _INCH)
    pitch = _four(thread.pitch_diameter_mm / _INCH)
    pitch_most = pitch + _four(_INTERNAL_SHARE[grade] * pitch_tolerance_in(thread))
    return InternalLimits(
        f"{grade}B",
        _span(minor, minor + _four(minor_tolerance_in(thread, grade))),
        _span(pitch, pitch_most),
        thread.major_mm,
    )


def _span(least_in: float, most_in: float) -> Span:
    return Span(least_in * _INCH, most_in * _INCH)


def _four(value_in: float) -> float:
    """Round as the standard does, value by value, to four decimals of an inch."""
    return round(value_in, 4)
