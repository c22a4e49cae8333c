"""Shapes of SVG as rings: the path grammar and transforms are read by a library."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from hillbench.decals.flatten import Point, Ring, cubic_points, quadratic_points
from hillbench.errors import InvalidInput, Problem

_FLATNESS: Final = 1e-4
"""Farthest that a line lies from its curve, as a part of the size of the shape."""

_MOST_POINTS: Final = 200_000

Lines = list[tuple[Ring, bool]]
"""Each line with whether it is closed."""


def path_rings(
    name: str, attributes: Mapping[str, str], transforms: Sequence[str], where: str
) -> tuple[list[Ring], Lines]:
    """Return what a shape fills, as rings, and the lines along it.

    Parameters
    ----------
    name
        Kind of shape, such as ``circle``.
    attributes
        Of its element.
    transforms
        From the outermost group inwards.
    where
        Name of the file, for messages.

    Raises
    ------
    InvalidInput
        If its numbers cannot be read.
    """
    try:
        path = _path(name, attributes)
        if transforms:
            path *= _matrix(transforms)
            path.reify()
        path.approximate_arcs_with_cubics()
        lines = list(_lines(path))
    except (ValueError, TypeError, IndexError, ArithmeticError, AttributeError) as error:
        seen = f"an SVG with a <{name}> that cannot be read"
        raise InvalidInput([Problem(where, seen, "well-formed shapes")]) from error
    if sum(len(ring) for ring, _ in lines) > _MOST_POINTS:
        raise InvalidInput([Problem(where, "far too many points", "a simpler drawing")])
    if not all(math.isfinite(part) for ring, _ in lines for point in ring for part in point):
        raise InvalidInput([Problem(where, "points that are nowhere", "finite numbers")])
    return [ring for ring, _ in lines if len(ring) >= 3], lines


def scale_of(transforms: Sequence[str], where: str) -> float:
    """Return by how much transforms enlarge lengths, on average."""
    try:
        matrix = _matrix(transforms)
        return math.sqrt(abs(float(matrix.a * matrix.d - matrix.b * matrix.c)))
    except (ValueError, TypeError, IndexError, ArithmeticError) as error:
        seen = "an SVG with a transform that cannot be read"
        raise InvalidInput([Problem(where, seen, "well-formed transforms")]) from error


def _matrix(transforms: Sequence[str]) -> Any:  # noqa: ANN401 (the library is untyped)
    from svgelements import Matrix

    matrix = Matrix()
    for text in reversed(transforms):
        if _TRANSFORM.sub("", text).strip(" \t\r\n,"):
            raise ValueError("no list of transforms")
        matrix *= Matrix(text)
    return matrix


def _path(name: str, attributes: Mapping[str, str]) -> Any:  # noqa: ANN401 (the library is untyped)
    import svgelements

    if name == "path":
        return svgelements.Path(attributes.get("d", ""))
    plain = {key: value for key, value in attributes.items() if key in _NUMBERS}
    if name in ("polyline", "polygon"):
        kind = svgelements.Polygon if name == "polygon" else svgelements.Polyline
        return svgelements.Path(kind(attributes.get("points", "")))
    kinds = {
        "rect": svgelements.Rect,
        "circle": svgelements.Circle,
        "ellipse": svgelements.Ellipse,
        "line": svgelements.SimpleLine,
    }
    return svgelements.Path(kinds[name](**plain))


_TRANSFORM: Final = re.compile(r"(?:matrix|translate|scale|rotate|skewX|skewY)\s*\([^()]*\)")
_NUMBERS: Final = frozenset(
    {"x", "y", "width", "height", "rx", "ry", "r", "cx", "cy", "x1", "y1", "x2", "y2"}
)


def _lines(path: Any) -> Iterator[tuple[Ring, bool]]:  # noqa: ANN401 (the library is untyped)
    off = _FLATNESS * _extent(path)
    for subpath in path.as_subpaths():
        ring: list[Point] = []
        closed = False
        for segment in subpath:
            closed = closed or type(segment).__name__ == "Close"
            ring.extend(_ends(segment, off))
        if len(ring) > 1 and math.dist(ring[0], ring[-1]) < off * 1e-3:
            ring.pop()
        if len(ring) > 1:
            yield tuple(ring), closed


def _extent(path: Any) -> float:  # noqa: ANN401 (the library is untyped)
    bounds = path.bbox()
    if bounds is None:
        return 1.0
    size = max(abs(bounds[2] - bounds[0]), abs(bounds[3] - bounds[1]))
    return float(size) if size > 0.0 else 1.0


def _ends(segment: Any, off: float) -> Iterator[Point]:  # noqa: ANN401 (the library is untyped)
    kind = type(segment).__name__
    if kind in ("Move", "Line"):
        yield _point(segment.end)
    elif kind == "CubicBezier":
        first, second = _point(segment.control1), _point(segment.control2)
        yield from cubic_points(_point(segment.start), first, second, _point(segment.end), off)
    elif kind == "QuadraticBezier":
        middle = _point(segment.control)
        yield from quadratic_points(_point(segment.start), middle, _point(segment.end), off)


def _point(point: Any) -> Point:  # noqa: ANN401 (the library is untyped)
    return float(point.x), float(point.y)
