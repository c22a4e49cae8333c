"""Whether the drill that a step asks for lies in the drawer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.building.step import Step, StepKind
from hillbench.errors import InvalidInput
from hillbench.fastening.designation import parse_drill
from hillbench.records.drawer_entities import DrawerItem, ItemKind

_SAME_MM: Final = 0.011
"""How far two names of one drill may differ, mm: #50 is 1.778 mm and sold as 1.78 mm."""


@dataclass(frozen=True, slots=True)
class BitAtHand:
    """The bit of a drilling step.

    Attributes
    ----------
    item
        The bit in the drawer; None where it holds none of that size.
    """

    item: DrawerItem | None


def find_bit(step: Step, items: Sequence[DrawerItem]) -> BitAtHand | None:
    """Return the bit a step needs; None where it drills nothing or no bits are kept.

    Parameters
    ----------
    step
        The step.
    items
        What is in the drawer.
    """
    bits = [one for one in items if one.kind is ItemKind.BIT and "diameter_mm" in one.details]
    if step.kind is not StepKind.DRILL or not step.size or not bits:
        return None
    try:
        wanted_mm = parse_drill(step.size).diameter_mm
    except InvalidInput:  # a size in the builder's own words
        return None
    near = [
        one
        for one in bits
        if one.stock > 0 and abs(float(one.details["diameter_mm"]) - wanted_mm) <= _SAME_MM
    ]
    return BitAtHand(near[0] if near else None)
