"""Limits of size as they stand in the tables of the standards."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Span:
    """Least and most that is allowed.

    Attributes
    ----------
    least_mm, most_mm
        Both limits belong to what is allowed, mm.
    """

    least_mm: float
    most_mm: float


@dataclass(frozen=True, slots=True)
class ExternalLimits:
    """Limits of a screw.

    Attributes
    ----------
    fit
        Class of fit: ``2A``, ``6g``.
    allowance_mm
        Gap to the basic profile, mm.
    major_mm, pitch_diameter_mm
        Limits of the two diameters, mm.
    root_most_mm
        Largest minor diameter of a rounded root, mm.
    root_least_mm
        Smallest minor diameter, which a twisted screw breaks at, mm.
    """

    fit: str
    allowance_mm: float
    major_mm: Span
    pitch_diameter_mm: Span
    root_most_mm: float
    root_least_mm: float


@dataclass(frozen=True, slots=True)
class InternalLimits:
    """Limits of a tapped hole.

    Attributes
    ----------
    fit
        Class of fit: ``2B``, ``6H``.
    minor_mm, pitch_diameter_mm
        Limits of the two diameters, mm.
    major_least_mm
        Least major diameter, mm.
    """

    fit: str
    minor_mm: Span
    pitch_diameter_mm: Span
    major_least_mm: float
