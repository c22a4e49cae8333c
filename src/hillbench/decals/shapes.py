"""Filled shapes: rings to polygons and back, rounded outlines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from hillbench.decals.flatten import Ring

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

QUARTER_SEGMENTS: Final = 32
"""Lines that stand for a quarter circle: at 5 mm they stay within 0.002 mm."""


def filled(rings: Sequence[Ring], *, even_odd: bool = False) -> BaseGeometry:
    """Return what rings fill together.

    Parameters
    ----------
    rings
        Closed outlines, the last point not repeated.
    even_odd
        Whether every second ring is a hole; else direction counts (nonzero rule).

    Notes
    -----
    The plane is cut along all lines; each face is in or out by the winding number of one of its
    points (nonzero), or by its parity (even-odd): SVG 1.1, 11.3.
    """
    import shapely
    from shapely.geometry import Polygon

    simple = [Polygon(ring) for ring in rings if len(ring) >= 3]
    if even_odd:
        joined = shapely.Polygon()
        for polygon in simple:
            joined = joined.symmetric_difference(_valid(polygon))
        return joined
    if not simple:
        return shapely.Polygon()
    if all(polygon.is_valid for polygon in simple) and not _any_crossing(simple):
        return _nested(simple)
    return _by_winding(rings)


def _valid(polygon: BaseGeometry) -> BaseGeometry:
    from shapely import make_valid

    return polygon if polygon.is_valid else make_valid(polygon)


def _any_crossing(polygons: Sequence[BaseGeometry]) -> bool:
    from shapely import STRtree

    tree = STRtree([polygon.exterior for polygon in polygons])
    first, second = tree.query(list(tree.geometries), predicate="intersects")
    return bool((first != second).any())


def _nested(polygons: Sequence[BaseGeometry]) -> BaseGeometry:
    """Join rings that do not cross: the winding number of a ring is the sum around it."""
    from shapely.geometry import Polygon

    turns = [1 if polygon.exterior.is_ccw else -1 for polygon in polygons]
    around = [
        [other for other, outer in enumerate(polygons) if other != index and outer.contains(inner)]
        for index, inner in enumerate(polygons)
    ]
    order = sorted(range(len(polygons)), key=lambda index: len(around[index]))
    shape: BaseGeometry = Polygon()
    for index in order:  # outermost first: each ring paints what is inside it anew
        wound = turns[index] + sum(turns[other] for other in around[index])
        shape = shape.union(polygons[index]) if wound else shape.difference(polygons[index])
    return shape


def _by_winding(rings: Sequence[Ring]) -> BaseGeometry:
    import shapely
    from shapely import node, polygonize, union_all
    from shapely.geometry import LineString, MultiLineString

    closed = [LineString([*ring, ring[0]]) for ring in rings if len(ring) >= 3]
    faces = polygonize([node(MultiLineString(closed))])
    inside = [
        face
        for face in faces.geoms
        if sum(_winding(ring, face.representative_point().coords[0]) for ring in rings) != 0
    ]
    return union_all(inside) if inside else shapely.Polygon()


def _winding(ring: Ring, point: tuple[float, ...]) -> int:
    """Return how often a ring goes around a point (Sunday 2001, from memory)."""
    x, y = point[0], point[1]
    turns = 0
    for (x0, y0), (x1, y1) in zip(ring, (*ring[1:], ring[0]), strict=True):
        left = (x1 - x0) * (y - y0) - (x - x0) * (y1 - y0)
        if y0 <= y < y1 and left > 0:
            turns += 1
        elif y1 <= y < y0 and left < 0:
            turns -= 1
    return turns


def grown(shape: BaseGeometry, by_mm: float) -> BaseGeometry:
    """Return a shape grown by a distance all round, its corners round."""
    return shape.buffer(by_mm, quad_segs=QUARTER_SEGMENTS, join_style="round")


def polygons_of(shape: BaseGeometry) -> Iterator[tuple[Ring, tuple[Ring, ...]]]:
    """Yield the outline and the holes of each part of a shape."""
    for part in getattr(shape, "geoms", [shape]):
        if part.geom_type == "Polygon" and not part.is_empty:
            yield _ring(part.exterior), tuple(_ring(hole) for hole in part.interiors)


def _ring(line: BaseGeometry) -> Ring:
    return tuple((float(x), float(y)) for x, y in line.coords[:-1])
