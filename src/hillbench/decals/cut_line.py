"""Where to cut: one rounded outline round each item, a stated gap outside the print."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from hillbench.decals.shapes import grown

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

GAP_MM: Final = 0.5
CORNER_RADIUS_MM: Final = 0.5
"""Common practice, no source: film with sharp corners lifts there first."""


@dataclass(frozen=True, slots=True)
class CutLine:
    """The outline to cut along.

    Attributes
    ----------
    shape
        What is cut out: one piece without holes.
    gap_mm
        Least distance from the print to the cut, mm: the asked one, or the corner radius where
        that is larger, since a rounder corner would run into the print.
    radius_mm
        Least radius of its corners, outward and inward, mm.
    joined
        Whether parts of the print that stand far apart were joined to one piece.
    """

    shape: BaseGeometry = field(repr=False)
    gap_mm: float
    radius_mm: float
    joined: bool = False


def cut_line(print_shape: BaseGeometry, gap_mm: float, radius_mm: float) -> CutLine:
    """Return the outline to cut along.

    Parameters
    ----------
    print_shape
        All that is printed.
    gap_mm
        Asked distance between print and cut, mm.
    radius_mm
        Asked least radius of corners, mm.

    Notes
    -----
    Growing by a distance (Minkowski sum with a disc) keeps that distance everywhere and rounds
    outward corners to it; growing further and shrinking back (closing) rounds inward corners and
    never cuts into what was there: Serra, Image Analysis and Mathematical Morphology (1982), from
    memory.
    """
    gap_mm = max(gap_mm, radius_mm)
    around = _without_holes(_closed(print_shape, gap_mm, radius_mm))
    reach_mm, joined = max(radius_mm, 0.5), False
    while around.geom_type != "Polygon":
        joined, reach_mm = True, 2.0 * reach_mm
        around = _without_holes(_closed(print_shape, gap_mm, reach_mm))
    return CutLine(around, gap_mm, radius_mm, joined)


def _closed(shape: BaseGeometry, gap_mm: float, radius_mm: float) -> BaseGeometry:
    plain = grown(shape, gap_mm)
    if radius_mm <= 0.0:
        return plain
    wide = grown(shape, gap_mm + radius_mm)
    return plain.union(_without_holes(wide).buffer(-radius_mm, quad_segs=32))


def _without_holes(shape: BaseGeometry) -> BaseGeometry:
    from shapely import union_all
    from shapely.geometry import Polygon

    parts = getattr(shape, "geoms", [shape])
    return union_all([Polygon(part.exterior) for part in parts])
