"""The outline of a thread cut along its axis, true to its basic profile."""

from __future__ import annotations

import math

from hillbench.fastening.thread import Thread
from hillbench.pictures.drawing import Point


def external_ridges(thread: Thread, from_mm: float, to_mm: float) -> list[Point]:
    """Return the right-hand outline of a screw's thread, radius and place along the axis, mm.

    Parameters
    ----------
    thread
        The thread.
    from_mm, to_mm
        Ends of the thread along the axis; ridges stand at whole pitches from the origin.
    """
    crest, root = thread.major_mm / 2.0, thread.root_mm / 2.0
    half_crest = _ridge_width_mm(thread, crest) / 2.0
    half_root = _ridge_width_mm(thread, root) / 2.0
    points = [(root, from_mm)]
    first = math.ceil((from_mm + half_root) / thread.pitch_mm)
    last = math.floor((to_mm - half_root) / thread.pitch_mm)
    for turn in range(first, last + 1):
        middle = turn * thread.pitch_mm
        points += [
            (root, middle - half_root),
            (crest, middle - half_crest),
            (crest, middle + half_crest),
            (root, middle + half_root),
        ]
    return [*points, (root, to_mm)]


def internal_ridges(thread: Thread, minor_mm: float, to_mm: float) -> list[Point]:
    """Return the right-hand outline of a tapped bore from its face down, mm.

    Parameters
    ----------
    thread
        The thread.
    minor_mm
        Minor diameter as made, mm.
    to_mm
        Depth of the thread; its ridges stand between those of the screw.
    """
    crest, root = minor_mm / 2.0, thread.major_mm / 2.0
    pitch = thread.pitch_mm
    half_crest = (pitch - _ridge_width_mm(thread, crest)) / 2.0
    half_root = (pitch - _ridge_width_mm(thread, root)) / 2.0
    points = [(root, 0.0)]
    for turn in range(math.floor((to_mm - pitch / 2.0 - half_root) / pitch) + 1):
        middle = (turn + 0.5) * pitch
        points += [
            (root, middle - half_root),
            (crest, middle - half_crest),
            (crest, middle + half_crest),
            (root, middle + half_root),
        ]
    return [*points, (root, to_mm)]


def _ridge_width_mm(thread: Thread, radius_mm: float) -> float:
    """Return the width of a screw's ridge at a radius: half a pitch at the pitch diameter."""
    above = radius_mm - thread.pitch_diameter_mm / 2.0
    return thread.pitch_mm / 2.0 - 2.0 * above / math.sqrt(3.0)
