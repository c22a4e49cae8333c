"""Panels of a casting: where a decal may lie."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from hillbench.decals.colour import parse_colour
from hillbench.decals.flatten import Point
from hillbench.errors import InvalidInput, Problem

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

ROLES: Final = (
    "bonnet",
    "roof",
    "boot",
    "left door",
    "right door",
    "windscreen",
    "rear glass",
    "left flank",
    "right flank",
    "other",
)
"""What a panel is; suggestions and other castings go by it."""

CURVATURES: Final = ("flat", "one way", "two ways")
SIZE_RANGE_MM: Final = (0.5, 200.0)
_MOST_POINTS: Final = 200


@dataclass(frozen=True, slots=True)
class KeepOut:
    """Part of a panel to be left free: a gap, a handle, a vent.

    Attributes
    ----------
    name
        What it is.
    x_mm, y_mm
        From and to, from the upper left corner of the panel, mm.
    clearance_mm
        Distance to keep, mm.
    """

    name: str
    x_mm: tuple[float, ...]
    y_mm: tuple[float, ...]
    clearance_mm: float = 0.3


@dataclass(frozen=True, slots=True)
class Panel:
    """A panel seen from outside: a rectangle, or an outline that was traced.

    Attributes
    ----------
    name
        What it is called.
    role
        What it is; see `ROLES`.
    width_mm, height_mm
        Size of a rectangle, mm; null where an outline is given.
    outline_mm
        Corners of an outline in order, from its upper left, mm.
    keep_outs
        What must be left free.
    paint
        Its colour.
    glass
        Whether it is a window.
    curvature
        ``flat``, ``one way`` (as a tube) or ``two ways`` (as a ball).
    """

    name: str
    role: str = "other"
    width_mm: float | None = None
    height_mm: float | None = None
    outline_mm: tuple[tuple[float, ...], ...] = ()
    keep_outs: tuple[KeepOut, ...] = ()
    paint: str = "#ffffff"
    glass: bool = False
    curvature: str = "flat"

    @property
    def is_right(self) -> bool:
        """Whether it is on the right side of the car."""
        return self.role.startswith("right")

    def corners(self) -> tuple[Point, ...]:
        """Return its corners in order, mm."""
        if self.outline_mm:
            return tuple((x, y) for x, y in self.outline_mm)
        width, height = self.width_mm or 0.0, self.height_mm or 0.0
        return ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))

    def size_mm(self) -> tuple[float, float]:
        """Return how wide and how high it is, mm."""
        across, down = zip(*self.corners(), strict=True)
        return max(across) - min(across), max(down) - min(down)


def panel_shape(panel: Panel) -> BaseGeometry:
    """Return the whole panel as a shape."""
    from shapely.geometry import Polygon

    return Polygon(panel.corners())


def room_of(panel: Panel) -> BaseGeometry:
    """Return what is free of a panel: without its keep-outs and their clearance."""
    from shapely import union_all

    taken = [keep_out_shape(one) for one in panel.keep_outs]
    whole = panel_shape(panel)
    return whole.difference(union_all(taken)) if taken else whole


def keep_out_shape(one: KeepOut) -> BaseGeometry:
    """Return a keep-out with its clearance as a shape."""
    from shapely import box

    inner = box(min(one.x_mm), min(one.y_mm), max(one.x_mm), max(one.y_mm))
    return inner.buffer(one.clearance_mm, join_style="mitre") if one.clearance_mm else inner


def check_panel(panel: Panel, where: str) -> list[Problem]:
    """Return what is wrong with a panel."""
    problems = list(_choice_problems(panel, where))
    problems += _outline_problems(panel, where) if panel.outline_mm else _size(panel, where)
    for at, one in enumerate(panel.keep_outs):
        place = f"{where}.keep_outs[{at}]"
        for name, pair in (("x_mm", one.x_mm), ("y_mm", one.y_mm)):
            if len(pair) != 2 or not all(map(math.isfinite, pair)) or pair[0] == pair[-1]:
                seen = ", ".join(f"{value:g}" for value in pair) or "empty"
                problems.append(Problem(f"{place}.{name}", seen, "two different places, mm"))
        if not 0.0 <= one.clearance_mm <= 20.0:
            seen = f"{one.clearance_mm:g} mm"
            problems.append(Problem(f"{place}.clearance_mm", seen, "0 to 20 mm"))
    try:
        parse_colour(panel.paint, f"{where}.paint")
    except InvalidInput as wrong:
        problems += wrong.problems
    return problems


def _choice_problems(panel: Panel, where: str) -> Iterator[Problem]:
    for name, value, known in (
        ("role", panel.role, ROLES),
        ("curvature", panel.curvature, CURVATURES),
    ):
        if value not in known:
            yield Problem(f"{where}.{name}", repr(value), "one of: " + ", ".join(known))
    if not panel.name.strip():
        yield Problem(f"{where}.name", "empty", "a name", "type one")


def _size(panel: Panel, where: str) -> list[Problem]:
    least, most = SIZE_RANGE_MM
    problems = []
    for name, value in (("width_mm", panel.width_mm), ("height_mm", panel.height_mm)):
        if value is None or not least <= value <= most:
            seen = "missing" if value is None else f"{value:g} mm"
            allowed = f"{least:g} to {most:g} mm"
            problems.append(Problem(f"{where}.{name}", seen, allowed, "measure it, or trace it"))
    return problems


def _outline_problems(panel: Panel, where: str) -> list[Problem]:
    at = f"{where}.outline_mm"
    if panel.width_mm is not None or panel.height_mm is not None:
        return [Problem(where, "a size and an outline", "one of the two", "leave one out")]
    if not 3 <= len(panel.outline_mm) <= _MOST_POINTS:
        return [Problem(at, f"{len(panel.outline_mm)} corners", f"3 to {_MOST_POINTS} corners")]
    if any(len(point) != 2 or not all(map(math.isfinite, point)) for point in panel.outline_mm):
        return [Problem(at, "a corner that is no pair", "pairs of x and y, mm")]
    least, most = SIZE_RANGE_MM
    if not all(least <= side <= most for side in panel.size_mm()):
        seen = " × ".join(f"{side:.1f}" for side in panel.size_mm())
        return [Problem(at, f"{seen} mm large", f"{least:g} to {most:g} mm each way")]
    if not panel_shape(panel).is_valid:
        return [Problem(at, "an outline that crosses itself", "corners in order round the panel")]
    return []


def scaled_outline(
    points_px: Sequence[Point], known_px: tuple[Point, Point], known_mm: float
) -> tuple[Point, ...]:
    """Return an outline traced on a photo in mm, its upper left corner at the origin.

    Parameters
    ----------
    points_px
        Corners on the photo, px.
    known_px
        Two points on the photo, px, in the plane of the panel.
    known_mm
        How far apart they are on the car, mm.

    Raises
    ------
    InvalidInput
        If the two points coincide or the distance is no length.
    """
    apart_px = math.dist(*known_px)
    if apart_px < 1.0 or not 0.5 <= known_mm <= 500.0:
        seen = f"{known_mm:g} mm over {apart_px:.0f} px"
        allowed = "two points apart from each other, 0.5 to 500 mm on the car"
        raise InvalidInput([Problem("known_mm", seen, allowed, "choose points far apart")])
    factor = known_mm / apart_px
    left = min((x for x, _ in points_px), default=0.0)
    top = min((y for _, y in points_px), default=0.0)
    return tuple(
        (round((x - left) * factor, 3), round((y - top) * factor, 3)) for x, y in points_px
    )
