"""Which drill takes the head off a rivet, and which goes first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from hillbench.errors import InvalidInput, Problem
from hillbench.fastening.drill import Drill, drills

_PILOT_SHARE: Final = 0.4
_LARGEST_MM: Final = 12.0


@dataclass(frozen=True, slots=True)
class HeadRemoval:
    """Two drills for the head of a rivet.

    Attributes
    ----------
    pilot
        Goes first, into a centre mark; makes the hole that the tap drill follows.
    drill
        Takes the head off.
    head_depth_mm
        How deep the second goes at most, mm: the height of the head.
    """

    pilot: Drill
    drill: Drill
    head_depth_mm: float


def head_removal(
    head_diameter_mm: float, head_height_mm: float, tap_drill_mm: float | None = None
) -> HeadRemoval:
    """Return the drills that take the head off a rivet.

    Parameters
    ----------
    head_diameter_mm, head_height_mm
        The head as measured, mm.
    tap_drill_mm
        Drill that makes the hole for the thread later, mm; the pilot stays below it.

    Raises
    ------
    InvalidInput
        If a size is no size of a rivet's head.

    Notes
    -----
    Common practice, no source: the largest drill that is no wider than the head, so that the
    base round it is not cut; before it a pilot of about 0.4 of the head, small enough to
    leave the hole for the thread whole.
    """
    problems = [
        Problem(where, f"{value:g} mm", f"more than 0 and at most {_LARGEST_MM:g} mm")
        for where, value in (
            ("rivet_head_diameter_mm", head_diameter_mm),
            ("rivet_head_height_mm", head_height_mm),
        )
        if not 0.0 < value <= _LARGEST_MM
    ]
    if problems:
        raise InvalidInput(problems)
    most = _PILOT_SHARE * head_diameter_mm
    if tap_drill_mm is not None:
        most = min(most, tap_drill_mm)
    return HeadRemoval(_largest_within(most), _largest_within(head_diameter_mm), head_height_mm)


def _largest_within(most_mm: float) -> Drill:
    fitting = [drill for drill in drills() if drill.diameter_mm <= most_mm + 1e-9]
    smallest = min(drills(), key=lambda drill: drill.diameter_mm)
    return max(fitting, key=lambda drill: drill.diameter_mm, default=smallest)
