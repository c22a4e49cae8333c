"""Places by habit: numbers at the leading edge of the doors, and on bonnet and boot."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from hillbench.decals.item import Place
from hillbench.decals.panel import Panel, room_of

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

NUMBER_ROLES: Final = ("left door", "right door", "bonnet", "boot")
"""Panels that carry the number (common practice, no source)."""

LOGO_ROLES: Final = ("left door", "right door")
FLANK_ROLES: Final = ("left flank", "right flank")
"""Stand in for the doors of a casting that has none."""

GLASS_ROLES: Final = ("windscreen", "rear glass")

_NUMBER_SHARE: Final = 0.42
"""Share of a door's length for the number at its leading edge; the logo goes behind it."""

_FILL: Final = 0.86
"""Share of the free height that is used, so that a rim of paint stays."""


@dataclass(frozen=True, slots=True)
class Suggestion:
    """Where an item goes by habit.

    Attributes
    ----------
    place
        Where, with the height that fits there.
    why
        The habit in words.
    """

    place: Place
    why: str


def suggest_places(
    kind: str, width_mm: float, height_mm: float, letter_height_mm: float, panels: Sequence[Panel]
) -> tuple[Suggestion, ...]:
    """Return the places that an item takes by habit, sized to fit.

    Parameters
    ----------
    kind
        ``number``, ``logo`` or ``name``.
    width_mm, height_mm
        Size of the item with its cut line, mm.
    letter_height_mm
        Height of its letters (or of its art) at that size, mm; places give it scaled.
    panels
        Panels of the casting.
    """
    found = []
    sides = LOGO_ROLES if any(panel.role in LOGO_ROLES for panel in panels) else FLANK_ROLES
    for panel in panels:
        why = _why(kind, panel, sides)
        if why:
            box = largest_box(room_of(panel), width_mm / height_mm, _share(kind, panel, sides))
            if box is not None:
                found.append(Suggestion(_place(panel, box, height_mm, letter_height_mm), why))
    return tuple(found)


def _why(kind: str, panel: Panel, sides: tuple[str, ...]) -> str:
    if panel.glass or panel.role in GLASS_ROLES:
        return "a name across the glass" if kind == "name" else ""
    side = panel.role.partition(" ")[2]
    if kind == "number" and panel.role in sides:
        return f"the number at the leading edge of the {side}"
    if kind == "number" and panel.role in NUMBER_ROLES:
        return f"the number on the {panel.role}"
    if kind == "logo" and panel.role in sides:
        return "the logo behind the number"
    return ""


def _share(kind: str, panel: Panel, sides: tuple[str, ...]) -> tuple[float, float]:
    """Return which part of the panel's length is meant, from 0 at its left to 1.

    The car drives to the left as one looks at its left side, to the right on its right side.
    """
    if panel.role not in sides:
        return 0.0, 1.0
    front = (0.0, _NUMBER_SHARE) if kind == "number" else (_NUMBER_SHARE, 1.0)
    return front if not panel.is_right else (1.0 - front[1], 1.0 - front[0])


MiddleBox = tuple[float, float, float]
"""Middle x, middle y and height, mm."""


def largest_box(
    room: BaseGeometry, ratio: float, share: tuple[float, float] = (0.0, 1.0)
) -> MiddleBox | None:
    """Return the largest upright box in part of a room, as found on a grid; None where none is.

    Parameters
    ----------
    room
        What is free.
    ratio
        Width over height of the box.
    share
        Part of the length of the room, from 0 at its left to 1.
    """
    from shapely import box

    left, top, right, bottom = room.bounds
    span = right - left
    part = room.intersection(box(left + share[0] * span, top, left + share[1] * span, bottom))
    if part.is_empty:
        return None
    best: MiddleBox | None = None
    low, high = 0.0, min(bottom - top, (right - left) / ratio)
    for _ in range(12):
        middle = (low + high) / 2.0
        at = _first_spot(part, ratio * middle, middle)
        if at is None:
            high = middle
        else:
            best, low = (at[0], at[1], middle), middle
    return best


def _first_spot(part: BaseGeometry, width: float, height: float) -> tuple[float, float] | None:
    """Return a middle where a box fits: the one nearest to the middle of the part."""
    from shapely import box, prepare

    prepare(part)
    centre = part.envelope.centroid
    spots = sorted(
        _grid(part.bounds, width, height),
        key=lambda spot: (spot[0] - centre.x) ** 2 + (spot[1] - centre.y) ** 2,
    )
    for x, y in spots:
        if part.covers(box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)):
            return x, y
    return None


def _grid(bounds: Sequence[float], width: float, height: float) -> Iterator[tuple[float, float]]:
    left, top, right, bottom = bounds
    steps = 12
    for across in range(steps + 1):
        for down in range(steps + 1):
            yield (
                left + width / 2 + (right - left - width) * across / steps,
                top + height / 2 + (bottom - top - height) * down / steps,
            )


def _place(panel: Panel, box: MiddleBox, height_mm: float, letter_height_mm: float) -> Place:
    scale = _FILL * box[2] / height_mm
    letters_mm = int(10.0 * letter_height_mm * scale) / 10.0
    return Place(panel.name, round(box[0], 2), round(box[1], 2), height_mm=max(letters_mm, 0.5))
