"""An outline traced on a photo: two known points give its scale, its turn and its place."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.ballast.cavity import KeepOut
from hillbench.errors import Problem

VIEWS: Final = ("side", "above")
MOST_POINTS: Final = 60
_STRIP_MM: Final = 2.0
_LEAST_MM: Final = 0.05

Point = tuple[float, float]
Points = tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class PhotoOutline:
    """What was traced on a photo of a casting.

    Attributes
    ----------
    view
        ``side`` (the line below body and glass, from the rear to the front) or ``above``
        (the inner wall, once around).
    photo_sha256
        The photo.
    rear_px, front_px
        Where the photo shows the rear and the front axle: their centres from the side, their
        middles from above. Pixels from the left and from the top.
    points_px
        The outline in the order traced.
    """

    view: str
    photo_sha256: str
    rear_px: tuple[float, ...]
    front_px: tuple[float, ...]
    points_px: tuple[tuple[float, ...], ...]


def place_points(outline: PhotoOutline, wheelbase_mm: float, axle_height_mm: float) -> Points:
    """Return the outline on the car: (x, z) from the side, (x, y) from above, mm.

    Parameters
    ----------
    outline
        What was traced.
    wheelbase_mm
        Distance of the two known points.
    axle_height_mm
        Height of the axles above the track; counts from the side.

    Notes
    -----
    A photo taken square to the car is a similarity: the two axles give its scale and turn
    (two pairs of points determine the four parameters of a plane similarity). Up stays up in
    a photo from the side whichever way the nose points; from above, left of the nose is left.
    """
    rear, front = outline.rear_px, outline.front_px
    along = (front[0] - rear[0], front[1] - rear[1])
    length_px = math.hypot(*along)
    ahead = (along[0] / length_px, along[1] / length_px)
    # Rows count downwards: this normal is a quarter turn to the left of the nose as seen.
    aside = (ahead[1], -ahead[0])
    if outline.view == "side" and aside[1] > 0.0:
        aside = (-aside[0], -aside[1])
    scale = wheelbase_mm / length_px
    lift = axle_height_mm if outline.view == "side" else 0.0
    placed = []
    for point in outline.points_px:
        dx, dy = point[0] - rear[0], point[1] - rear[1]
        placed.append(
            (
                round((dx * ahead[0] + dy * ahead[1]) * scale, 2),
                round((dx * aside[0] + dy * aside[1]) * scale + lift, 2),
            )
        )
    return tuple(placed)


def profile_of(points: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    """Yield the parts of a line seen from the side that have an extent along the car."""
    for start, end in itertools.pairwise(points):
        if end[0] - start[0] > _LEAST_MM:
            yield start, end


def walls_of(points: Sequence[Point]) -> tuple[KeepOut, ...]:
    """Return boxes that fill what lies outside an outline seen from above, in short strips.

    In each strip the narrowest place counts, so no piece comes to stand in the wall.
    """
    x_low, x_high = min(x for x, _ in points), max(x for x, _ in points)
    y_low, y_high = min(y for _, y in points), max(y for _, y in points)
    count = max(math.ceil((x_high - x_low) / _STRIP_MM), 1)
    step = (x_high - x_low) / count
    walls: list[KeepOut] = []
    for number in range(count):
        strip = (round(x_low + number * step, 2), round(x_low + (number + 1) * step, 2))
        right, left = _narrowest(points, strip)
        if left < y_high - _LEAST_MM:
            walls.append(_wall(strip, (left, y_high)))
        if right > y_low + _LEAST_MM:
            walls.append(_wall(strip, (y_low, right)))
    return tuple(walls)


def _wall(x_mm: Point, y_mm: Point) -> KeepOut:
    return KeepOut("side wall", "box", x_mm, y_mm, (None, None), None, 0.0)


def _narrowest(points: Sequence[Point], strip: Point) -> Point:
    """Return the right and left limit of the inside that hold all along a strip."""
    free = max(_inside(points, sum(strip) / 2.0), key=_width_mm, default=(0.0, 0.0))
    for x in (strip[0] + 1e-6, strip[1] - 1e-6, *_between(points, strip)):
        shared = [(max(a, free[0]), min(b, free[1])) for a, b in _inside(points, x)]
        free = max(shared, key=_width_mm, default=(free[0], free[0]))
        if _width_mm(free) <= 0.0:
            return round(free[0], 2), round(free[0], 2)
    return round(free[0], 2), round(free[1], 2)


def _width_mm(interval: Point) -> float:
    return interval[1] - interval[0]


def _inside(points: Sequence[Point], x: float) -> list[Point]:
    """Return the intervals across the car that lie inside the outline."""
    crossings = sorted(_crossings(points, x))
    return list(zip(crossings[::2], crossings[1::2], strict=False))


def _between(points: Sequence[Point], strip: Point) -> list[float]:
    inner = [x for x, _ in points if strip[0] < x < strip[1]]
    return [x + side for x in inner for side in (-1e-6, 1e-6)]


def _crossings(points: Sequence[Point], x: float) -> Iterator[float]:
    """Yield where the closed outline crosses a line across the car."""
    for (x0, y0), (x1, y1) in itertools.pairwise((*points, points[0])):
        if min(x0, x1) <= x < max(x0, x1):
            yield y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def outline_problems(outline: PhotoOutline) -> Iterator[Problem]:
    """Yield what keeps an outline from being used."""
    where = f"outline from {'the side' if outline.view == 'side' else 'above'}"
    if outline.view not in VIEWS:
        yield Problem("outline", repr(outline.view), "side or above")
        return
    least = 2 if outline.view == "side" else 3
    count = len(outline.points_px)
    if not least <= count <= MOST_POINTS:
        told = f"{count} point" if count == 1 else f"{count} points"
        yield Problem(where, told, f"{least} to {MOST_POINTS} points", "click them")
        return
    if math.dist(outline.rear_px, outline.front_px) < 20.0:
        seen = "with both axles at nearly one place"
        yield Problem(where, seen, "two axles at least 20 px apart", "mark both axles")
        return
    points = place_points(outline, 1000.0, 0.0)
    if outline.view == "side":
        back = [one for one, (a, b) in enumerate(itertools.pairwise(points), 2) if b[0] < a[0]]
        if back:
            seen = f"a line that goes back at point {back[0]}"
            yield Problem(where, seen, "a line from the rear to the front", "move that point")
    elif _crosses(points):
        seen = "a line that crosses itself"
        yield Problem(where, seen, "once around without crossing", "move or take out a point")


def _crosses(points: Points) -> bool:
    edges = list(itertools.pairwise((*points, points[0])))
    for (first, a), (second, b) in itertools.combinations(enumerate(edges), 2):
        neighbours = second - first == 1 or (first == 0 and second == len(edges) - 1)
        if not neighbours and _cut(a, b):
            return True
    return False


def _cut(a: tuple[Point, Point], b: tuple[Point, Point]) -> bool:
    """Return whether two edges cross: the ends of each lie on both sides of the other."""
    return _turn(*a, b[0]) * _turn(*a, b[1]) < 0.0 and _turn(*b, a[0]) * _turn(*b, a[1]) < 0.0


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
