"""How deep to drill and to tap a post for a screw, and what that leaves."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from hillbench.errors import Problem
from hillbench.fastening.drill import Method
from hillbench.fastening.screw import stock_lengths_mm
from hillbench.fastening.tables import read_table
from hillbench.fastening.thread import Thread

POINT_ANGLE_DEG: Final = 118.0
"""Angle of the point of a common twist drill; common practice, no source."""

SPARE_PITCHES: Final = 1.0
"""Full thread beyond the end of the screw, and room for chips below the tap, in pitches each;
common practice, no source."""

POINT_PITCHES: Final = 1.0
"""Thread at the end of a screw that is not full; ISO 4753 allows two pitches (from memory)."""

THIN_WALL: Final = 0.4
"""Wall of a post below which it may split, in major diameters; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Stack:
    """What the screw goes through and into.

    Attributes
    ----------
    screw_length_mm
        Under the head; a countersunk screw's whole length, mm.
    base_thickness_mm
        Base and washer under the head, mm.
    post_height_mm
        Metal of the post along the screw, up to what must not be drilled through, mm.
    post_diameter_mm
        Outer diameter of the post, mm; None where it is unknown.
    gap_mm
        Air between base and post before the screw is tightened, mm.
    """

    screw_length_mm: float
    base_thickness_mm: float
    post_height_mm: float
    post_diameter_mm: float | None = None
    gap_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Depths:
    """Depths in the post, from its face.

    Attributes
    ----------
    screw_mm
        How far the screw reaches in when all is tight, mm.
    engagement_mm
        Full threads of the screw in full threads of the post, mm.
    engagement_diameters
        The same in major diameters.
    tap_mm
        Full thread, mm.
    tap_lead_mm
        Threads of the tap that are not full, mm; 0 for forming.
    drill_mm
        Full diameter of the hole, mm.
    drill_tip_mm
        To the tip of the drill, mm.
    left_mm
        Metal between the tip of the drill and the end of the post, mm; negative where the
        drill would come through.
    bottoms
        Whether the screw meets the end of the thread that can be made, before the head is down.
    wall_mm
        Wall round the thread, mm; None where the post's diameter is unknown.
    longest_screw_mm
        Longest screw that leaves room for the tap, mm.
    stock_length
        Longest stock length that is no longer than that; None where there is none.
    """

    screw_mm: float
    engagement_mm: float
    engagement_diameters: float
    tap_mm: float
    tap_lead_mm: float
    drill_mm: float
    drill_tip_mm: float
    left_mm: float
    bottoms: bool
    wall_mm: float | None
    longest_screw_mm: float
    stock_length: str | None


def tap_lead_mm(thread: Thread, tap: str) -> float:
    """Return the length of a tap's lead, mm, at the most of its kind.

    Parameters
    ----------
    thread
        Thread of the tap.
    tap
        ``taper``, ``plug`` or ``bottoming``.
    """
    row = next(row for row in read_table("taps") if row["kind"] == tap)
    return float(row["lead_most"]) * thread.pitch_mm


def tap_kinds() -> tuple[str, ...]:
    """Return the kinds of tap, longest lead first."""
    return tuple(row["kind"] for row in read_table("taps"))


def point_length_mm(diameter_mm: float) -> float:
    """Return the length of a drill's point, mm: d/2 over the tangent of half its angle."""
    return diameter_mm / 2.0 / math.tan(math.radians(POINT_ANGLE_DEG / 2.0))


def find_depths(
    thread: Thread, drill_mm: float, stack: Stack, method: Method, tap: str = "plug"
) -> Depths:
    """Return how deep to drill and to tap.

    Parameters
    ----------
    thread
        Thread of the screw.
    drill_mm
        Diameter of the hole, mm.
    stack
        What the screw goes through and into.
    method
        Cut, which needs room for the lead of the tap and for chips, or formed.
    tap
        Kind of tap.
    """
    pitch = thread.pitch_mm
    reach = stack.screw_length_mm - stack.base_thickness_mm
    lead = tap_lead_mm(thread, tap) if method is Method.TAPPED else 0.0
    chips = SPARE_PITCHES * pitch if method is Method.TAPPED else 0.0
    below = lead + chips + point_length_mm(drill_mm)
    thread_mm = reach + SPARE_PITCHES * pitch
    possible = stack.post_height_mm - below
    longest = stack.base_thickness_mm + possible - SPARE_PITCHES * pitch
    meeting = max(0.0, min(reach, possible) - POINT_PITCHES * pitch)
    wall = None
    if stack.post_diameter_mm is not None:
        wall = (stack.post_diameter_mm - thread.major_mm) / 2.0
    drilled = thread_mm + lead + chips
    return Depths(
        screw_mm=reach,
        engagement_mm=meeting,
        engagement_diameters=meeting / thread.major_mm,
        tap_mm=thread_mm,
        tap_lead_mm=lead,
        drill_mm=drilled,
        drill_tip_mm=drilled + point_length_mm(drill_mm),
        left_mm=stack.post_height_mm - drilled - point_length_mm(drill_mm),
        bottoms=reach > possible,
        wall_mm=wall,
        longest_screw_mm=longest,
        stock_length=_longest_in_stock(thread, longest),
    )


def check_stack(thread: Thread, drill_mm: float, stack: Stack) -> Iterator[Problem]:
    """Yield every problem that keeps a stack from being screwed together.

    Parameters
    ----------
    thread
        Thread of the screw.
    drill_mm
        Diameter of the hole, mm.
    stack
        What the screw goes through and into.
    """
    for name in ("screw_length_mm", "base_thickness_mm", "post_height_mm"):
        if not getattr(stack, name) > 0.0:
            yield Problem(name, f"{getattr(stack, name):g} mm", "more than 0 mm", "measure it")
    if stack.gap_mm < 0.0:
        yield Problem("gap_mm", f"{stack.gap_mm:g} mm", "0 mm or more")
    room = stack.base_thickness_mm + stack.post_height_mm
    length = f"{stack.screw_length_mm:g} mm"
    if stack.screw_length_mm > room:
        stock = _longest_in_stock(thread, room)
        remedy = f"take one of {stock}" if stock else "take a shorter screw"
        allowed = f"at most base and post together ({room:g} mm)"
        yield Problem("screw_length_mm", length, allowed, remedy)
    elif 0.0 < stack.screw_length_mm <= stack.base_thickness_mm:
        allowed = f"more than the base ({stack.base_thickness_mm:g} mm)"
        yield Problem("screw_length_mm", length, allowed, "take a longer screw")
    post = stack.post_diameter_mm
    if post is not None and post <= max(drill_mm, thread.major_mm):
        allowed = f"more than the hole and its thread ({max(drill_mm, thread.major_mm):.2f} mm)"
        yield Problem("post_diameter_mm", f"{post:g} mm", allowed, "take a smaller thread")


def _longest_in_stock(thread: Thread, most_mm: float) -> str | None:
    fitting = {name: mm for name, mm in stock_lengths_mm(thread).items() if mm <= most_mm + 1e-9}
    return max(fitting, key=lambda name: fitting[name]) if fitting else None
