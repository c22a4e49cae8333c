"""Paths of straight lines and cubic curves, mm, y downwards."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

Point = tuple[float, float]

_STEP_RAD: Final = math.pi / 4.0
"""A cubic over an eighth of a turn leaves the circle by 4e-6 of its radius."""


@dataclass(frozen=True, slots=True)
class Move:
    """Begin a new part of the path."""

    to: Point


@dataclass(frozen=True, slots=True)
class Line:
    """Go straight."""

    to: Point


@dataclass(frozen=True, slots=True)
class Curve:
    """Go along a cubic Bézier curve with two control points."""

    first: Point
    second: Point
    to: Point


@dataclass(frozen=True, slots=True)
class Close:
    """Go straight back to where this part began and close it."""


Segment = Move | Line | Curve | Close
Path = tuple[Segment, ...]
"""A path may have several parts; which of them are holes is the fill rule's matter."""


class Pen:
    """Draws a path step by step."""

    def __init__(self) -> None:
        self._segments: list[Segment] = []

    @property
    def path(self) -> Path:
        """What was drawn so far."""
        return tuple(self._segments)

    def move(self, x_mm: float, y_mm: float) -> Pen:
        """Begin a new part."""
        self._segments.append(Move((x_mm, y_mm)))
        return self

    def line(self, x_mm: float, y_mm: float) -> Pen:
        """Go straight to a place."""
        self._segments.append(Line((x_mm, y_mm)))
        return self

    def curve(self, first: Point, second: Point, to: Point) -> Pen:
        """Go along a cubic curve."""
        self._segments.append(Curve(first, second, to))
        return self

    def arc(self, centre: Point, radius_mm: float, from_rad: float, to_rad: float) -> Pen:
        """Go along an arc of a circle, straight to its beginning first.

        Angles run from the x axis towards y, so clockwise on the paper; the arc is within
        4e-6 of its radius.
        """
        start = _on_circle(centre, radius_mm, from_rad)
        self._segments.append(Line(start) if self._segments else Move(start))
        steps = max(math.ceil(abs(to_rad - from_rad) / _STEP_RAD - 1e-9), 1)
        turn = (to_rad - from_rad) / steps
        reach = 4.0 / 3.0 * math.tan(turn / 4.0) * radius_mm
        for step in range(steps):
            first_rad, last_rad = from_rad + step * turn, from_rad + (step + 1) * turn
            end = _on_circle(centre, radius_mm, last_rad)
            self.curve(
                (start[0] - reach * math.sin(first_rad), start[1] + reach * math.cos(first_rad)),
                (end[0] + reach * math.sin(last_rad), end[1] - reach * math.cos(last_rad)),
                end,
            )
            start = end
        return self

    def close(self) -> Pen:
        """Close the part."""
        self._segments.append(Close())
        return self


def _on_circle(centre: Point, radius: float, angle: float) -> Point:
    return centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)


def polyline(points: Iterable[Point], *, closed: bool = False) -> Path:
    """Return straight lines through places; nothing for none."""
    places = list(points)
    segments: list[Segment] = [Move(place) for place in places[:1]]
    segments += [Line(place) for place in places[1:]]
    if closed and places:
        segments.append(Close())
    return tuple(segments)


def rectangle(
    x_mm: float, y_mm: float, width_mm: float, height_mm: float, corner_radius_mm: float = 0.0
) -> Path:
    """Return a rectangle by its upper left corner, with round corners where asked.

    A corner radius above half the shorter side is taken as that half.
    """
    right, bottom = x_mm + width_mm, y_mm + height_mm
    radius = min(corner_radius_mm, width_mm / 2.0, height_mm / 2.0)
    if radius <= 0.0:
        return polyline([(x_mm, y_mm), (right, y_mm), (right, bottom), (x_mm, bottom)], closed=True)
    quarter = math.pi / 2.0
    pen = Pen()
    pen.arc((right - radius, y_mm + radius), radius, -quarter, 0.0)
    pen.arc((right - radius, bottom - radius), radius, 0.0, quarter)
    pen.arc((x_mm + radius, bottom - radius), radius, quarter, 2.0 * quarter)
    pen.arc((x_mm + radius, y_mm + radius), radius, 2.0 * quarter, 3.0 * quarter)
    return pen.close().path


def circle(x_mm: float, y_mm: float, radius_mm: float) -> Path:
    """Return a circle by its centre."""
    return Pen().arc((x_mm, y_mm), radius_mm, 0.0, 2.0 * math.pi).close().path


@dataclass(frozen=True, slots=True)
class Transform:
    """An affine map: x' = a x + c y + e, y' = b x + d y + f (as in SVG and PDF)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    @classmethod
    def shift(cls, x_mm: float, y_mm: float) -> Transform:
        """Return a move."""
        return cls(e=x_mm, f=y_mm)

    @classmethod
    def scale(cls, factor: float) -> Transform:
        """Return a scaling about the origin."""
        return cls(a=factor, d=factor)

    @classmethod
    def turn(cls, angle_deg: float) -> Transform:
        """Return a turn about the origin, clockwise on the paper."""
        angle = math.radians(angle_deg)
        return cls(math.cos(angle), math.sin(angle), -math.sin(angle), math.cos(angle))

    def then(self, after: Transform) -> Transform:
        """Return this map followed by another."""
        a, b = after.apply((self.a, self.b), place=False)
        c, d = after.apply((self.c, self.d), place=False)
        e, f = after.apply((self.e, self.f))
        return Transform(a, b, c, d, e, f)

    def apply(self, point: Point, *, place: bool = True) -> Point:
        """Return where a place comes to; with `place` false, what becomes of a direction."""
        x, y = point
        shift_x, shift_y = (self.e, self.f) if place else (0.0, 0.0)
        return self.a * x + self.c * y + shift_x, self.b * x + self.d * y + shift_y


UNCHANGED: Final = Transform()
"""Leaves everything where it is."""


def transformed(path: Path, transform: Transform) -> Path:
    """Return a path after an affine map."""
    return tuple(_moved(segment, transform) for segment in path)


def _moved(segment: Segment, transform: Transform) -> Segment:
    match segment:
        case Move(to):
            return Move(transform.apply(to))
        case Line(to):
            return Line(transform.apply(to))
        case Curve(first, second, to):
            return Curve(*(transform.apply(point) for point in (first, second, to)))
        case Close():
            return segment


def bounds_mm(path: Path) -> tuple[float, float, float, float]:
    """Return a box round a path (left, top, right, bottom), control points included.

    Raises `ValueError` for an empty path.
    """
    points = _points(path)
    across, down = [point[0] for point in points], [point[1] for point in points]
    return min(across), min(down), max(across), max(down)


def _points(path: Sequence[Segment]) -> list[Point]:
    points: list[Point] = []
    for segment in path:
        if isinstance(segment, Curve):
            points += (segment.first, segment.second)
        if not isinstance(segment, Close):
            points.append(segment.to)
    return points
