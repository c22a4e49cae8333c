"""Twist drills, and how much of a full thread a hole leaves."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Final

from hillbench.fastening.tables import read_table, to_mm
from hillbench.fastening.thread import Thread

FORMING_SHARE: Final = 0.68
"""Fall of a forming hole below the major diameter for a full thread, in pitches."""


class Method(StrEnum):
    """How the thread gets into the post."""

    TAPPED = "tapped"
    FORMED = "formed"


@dataclass(frozen=True, slots=True)
class Drill:
    """A twist drill.

    Attributes
    ----------
    name
        As it is called: ``#50``, ``C``, ``5/64 in``, ``1.75 mm``.
    diameter_mm
        Nominal diameter, mm.
    kind
        ``number``, ``letter``, ``fraction``, ``metric`` or ``typed``.
    """

    name: str
    diameter_mm: float
    kind: str


@cache
def drills() -> tuple[Drill, ...]:
    """Return every drill of the table."""
    return tuple(
        Drill(row["name"], to_mm(row["diameter"], row["unit"]), row["kind"])
        for row in read_table("drills")
    )


def nearest_drill(diameter_mm: float, among: Iterable[Drill] | None = None) -> Drill:
    """Return the drill whose diameter is nearest.

    Parameters
    ----------
    diameter_mm
        Diameter wanted, mm.
    among
        Drills at hand; the whole table by default.
    """
    return min(among or drills(), key=lambda drill: abs(drill.diameter_mm - diameter_mm))


def thread_percent(thread: Thread, drill_mm: float) -> float:
    """Return the percent of a full thread that a tap leaves in a drilled hole.

    Parameters
    ----------
    thread
        The thread to be cut.
    drill_mm
        Diameter of the hole, mm.

    Notes
    -----
    100 (D - d) / (3√3/4 P), the full thread being 3H/4 deep on either side: 0.01299 over the
    threads per inch, 76.98 (D - d)/P in mm. Machinery's Handbook, 31st ed., 2020, p. 2155,
    rounds the constant to 0.0130.
    """
    return 100.0 * (thread.major_mm - drill_mm) / (1.5 * thread.sharp_height_mm)


def drill_for_percent(thread: Thread, percent: float) -> float:
    """Return the hole that leaves a wanted percent of a cut thread, mm."""
    return thread.major_mm - percent / 100.0 * 1.5 * thread.sharp_height_mm


def formed_percent(thread: Thread, drill_mm: float) -> float:
    """Return the percent of a full thread that forming raises in a drilled hole.

    Parameters
    ----------
    thread
        The thread to be formed.
    drill_mm
        Diameter of the hole, mm.

    Notes
    -----
    Metal pushed out of the valleys fills the crests, so the hole is larger than for a cut
    thread: 100 (D - d) / (0.68 P). Rule of the makers of forming taps, 0.0068 × percent over
    threads per inch and percent × P/147.06 in mm. Above 100 there is no room for the metal.
    """
    return 100.0 * (thread.major_mm - drill_mm) / (FORMING_SHARE * thread.pitch_mm)


def drill_for_formed_percent(thread: Thread, percent: float) -> float:
    """Return the hole that gives a wanted percent of a formed thread, mm."""
    return thread.major_mm - percent / 100.0 * FORMING_SHARE * thread.pitch_mm


def made_percent(thread: Thread, drill_mm: float, method: Method) -> float:
    """Return the percent of a full thread made in the post by either method.

    Parameters
    ----------
    thread
        The thread.
    drill_mm
        Diameter of the hole, mm.
    method
        Whether it is cut or formed.
    """
    if method is Method.FORMED:
        return formed_percent(thread, drill_mm)
    return thread_percent(thread, drill_mm)


def made_minor_mm(thread: Thread, drill_mm: float, method: Method) -> float:
    """Return the minor diameter of the thread made in the post, mm.

    Parameters
    ----------
    thread
        The thread.
    drill_mm
        Diameter of the hole, mm.
    method
        A tap leaves the hole as drilled; forming closes it, at most to a full thread.
    """
    if method is Method.FORMED:
        return drill_for_percent(thread, min(formed_percent(thread, drill_mm), 100.0))
    return drill_mm
