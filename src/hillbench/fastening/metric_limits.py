"""Limits of metric miniature threads, 6g and 6H."""

from __future__ import annotations

from dataclasses import dataclass

from hillbench.fastening.span import ExternalLimits, InternalLimits, Span
from hillbench.fastening.tables import read_table
from hillbench.fastening.thread import Thread

_MM_PER_UM = 1e-3


@dataclass(frozen=True, slots=True)
class Tolerances:
    """The tolerances of a metric thread, grade 6, and the allowance g.

    Attributes
    ----------
    allowance_mm
        Fundamental deviation es, without its sign, mm.
    screw_major_mm, screw_pitch_mm
        Td and Td2, mm.
    hole_minor_mm, hole_pitch_mm
        TD1 and TD2, mm.
    """

    allowance_mm: float
    screw_major_mm: float
    screw_pitch_mm: float
    hole_minor_mm: float
    hole_pitch_mm: float


def metric_tolerances(thread: Thread) -> Tolerances:
    """Return the tolerances of a metric thread.

    Raises
    ------
    LookupError
        If the table has no row for its diameter and pitch.

    Notes
    -----
    Read from the table: the standard rounds its formulas to preferred numbers and then
    smooths them, which no formula gives back.
    """
    for row in read_table("metric_tolerances"):
        inside = float(row["over"]) < thread.major_mm <= float(row["to"])
        if inside and abs(float(row["pitch"]) - thread.pitch_mm) < 1e-9:
            names = ("allowance", "screw_major", "screw_pitch", "hole_minor", "hole_pitch")
            return Tolerances(*(float(row[name]) * _MM_PER_UM for name in names))
    raise LookupError(f"no metric tolerances for {thread.designation}")


def metric_external(thread: Thread) -> ExternalLimits:
    """Return the limits of a screw to 6g.

    Notes
    -----
    ISO 965-1:1998. A root with the least radius P/8 lies at d2 - H + P/4.
    """
    allowed = metric_tolerances(thread)
    major_most = thread.major_mm - allowed.allowance_mm
    pitch_most = round(thread.pitch_diameter_mm, 3) - allowed.allowance_mm
    pitch_least = pitch_most - allowed.screw_pitch_mm
    return ExternalLimits(
        "6g",
        allowed.allowance_mm,
        Span(major_most - allowed.screw_major_mm, major_most),
        Span(pitch_least, pitch_most),
        thread.root_mm - allowed.allowance_mm,
        pitch_least - thread.sharp_height_mm + thread.pitch_mm / 4.0,
    )


def metric_internal(thread: Thread) -> InternalLimits:
    """Return the limits of a tapped hole to 6H."""
    allowed = metric_tolerances(thread)
    minor, middle = round(thread.minor_mm, 3), round(thread.pitch_diameter_mm, 3)
    return InternalLimits(
        "6H",
        Span(minor, minor + allowed.hole_minor_mm),
        Span(middle, middle + allowed.hole_pitch_mm),
        thread.major_mm,
    )
