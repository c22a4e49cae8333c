"""Curves as chains of straight lines that stay within a stated distance."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Any

Point = tuple[float, float]
Ring = tuple[Point, ...]


def cubic_points(
    first: Point, second: Point, third: Point, last: Point, off: float
) -> Iterator[Point]:
    """Yield the ends of the lines that stand for a cubic curve, without its start.

    Parameters
    ----------
    first, second, third, last
        Control points.
    off
        Farthest that a line may lie from the curve, same unit.

    Notes
    -----
    n = √(d(d − 1)·L / (8·off)) lines for degree d, with L the largest second difference of the
    control points: G. Wang, Chinese Universities' Journal of Mathematics (1984), from memory.
    """
    bend = max(
        math.hypot(a[0] - 2 * b[0] + c[0], a[1] - 2 * b[1] + c[1])
        for a, b, c in ((first, second, third), (second, third, last))
    )
    steps = max(1, math.ceil(math.sqrt(0.75 * bend / off)))
    for step in range(1, steps + 1):
        yield _cubic_at((first, second, third, last), step / steps)


def quadratic_points(first: Point, middle: Point, last: Point, off: float) -> Iterator[Point]:
    """Yield the ends of the lines that stand for a quadratic curve, without its start."""
    second, third = _toward(first, middle), _toward(last, middle)
    yield from cubic_points(first, second, third, last, off)


def rings_of(strokes: Iterable[tuple[str, tuple[Any, ...]]], off: float) -> tuple[Ring, ...]:
    """Return the closed rings of a recorded pen, curves turned into lines.

    Parameters
    ----------
    strokes
        Name and points of each stroke, as a recording pen of the font library keeps them.
    off
        Farthest that a line may lie from its curve, units of the font.
    """
    rings: list[list[Point]] = []
    for name, points in strokes:
        if name == "moveTo":
            rings.append([points[0]])
        elif name == "lineTo":
            rings[-1].append(points[0])
        elif name == "qCurveTo":
            if points[-1] is None:  # a ring without any point on its curve
                begin = _halfway(points[-2], points[0])
                rings.append([begin, *_quadratic_chain(begin, (*points[:-1], begin), off)])
            else:
                rings[-1].extend(_quadratic_chain(rings[-1][-1], points, off))
        elif name == "curveTo":
            rings[-1].extend(cubic_points(rings[-1][-1], points[0], points[1], points[2], off))
    return tuple(tuple(ring) for ring in rings if len(ring) > 2)


def _quadratic_chain(at: Point, points: tuple[Any, ...], off: float) -> Iterator[Point]:
    from fontTools.pens.basePen import decomposeQuadraticSegment

    for middle, last in decomposeQuadraticSegment(points):
        yield from quadratic_points(at, middle, last, off)
        at = last


def _halfway(first: Point, second: Point) -> Point:
    return (first[0] + second[0]) / 2.0, (first[1] + second[1]) / 2.0


def _toward(first: Point, middle: Point) -> Point:
    share = 2.0 / 3.0
    return (
        first[0] + share * (middle[0] - first[0]),
        first[1] + share * (middle[1] - first[1]),
    )


def _cubic_at(corners: tuple[Point, Point, Point, Point], share: float) -> Point:
    rest = 1.0 - share
    weights = (rest**3, 3 * rest * rest * share, 3 * rest * share * share, share**3)
    x = sum(weight * corner[0] for weight, corner in zip(weights, corners, strict=True))
    y = sum(weight * corner[1] for weight, corner in zip(weights, corners, strict=True))
    return x, y
