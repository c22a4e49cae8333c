"""What is printed of one item: filled shapes and pixels in millimetres."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final

from hillbench.decals.colour import Colour

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Box = tuple[float, float, float, float]
"""Left, top, right and bottom, mm."""

GREY: Final = Colour(0.5, 0.5, 0.5)


@dataclass(frozen=True, slots=True)
class Fill:
    """A shape in one colour.

    Attributes
    ----------
    colour
        Ink, as on white paper.
    shape
        What it covers, mm.
    part
        What it is: letters, outline, drop, ground or art.
    """

    colour: Colour
    shape: BaseGeometry = field(repr=False)
    part: str = "art"


@dataclass(frozen=True, slots=True)
class Pixels:
    """A picture of pixels.

    Attributes
    ----------
    png
        The file, re-encoded by us: eight bits, RGB or RGB with alpha.
    width_px, height_px
        Its size.
    box_mm
        Where it is printed, mm.
    mirrored
        Whether left and right are exchanged.
    mean
        Mean colour of what is not clear.
    shape
        Outline of what is not clear, mm; None where all of the box is printed.
    """

    png: bytes = field(repr=False)
    width_px: int
    height_px: int
    box_mm: Box
    mirrored: bool = False
    mean: Colour = GREY
    shape: BaseGeometry | None = field(default=None, repr=False)

    @property
    def dots_per_inch(self) -> float:
        """Resolution at the printed size."""
        return self.width_px / ((self.box_mm[2] - self.box_mm[0]) / 25.4)


@dataclass(frozen=True, slots=True)
class Artwork:
    """One item as printed, its upper left corner at the origin.

    Attributes
    ----------
    fills
        From below to above.
    pixels
        The picture, where there is one; above the fills.
    """

    fills: tuple[Fill, ...] = ()
    pixels: Pixels | None = None

    def silhouette(self) -> BaseGeometry:
        """Return all that is printed as one shape."""
        from shapely import box, union_all

        shapes = [fill.shape for fill in self.fills]
        if self.pixels is not None:
            shapes.append(self.pixels.shape or box(*self.pixels.box_mm))
        return union_all(shapes)

    def bounds_mm(self) -> Box:
        """Return the box around all that is printed, mm."""
        left, top, right, bottom = self.silhouette().bounds
        return left, top, right, bottom

    def part(self, name: str) -> Fill | None:
        """Return the uppermost fill of a kind."""
        return next((fill for fill in reversed(self.fills) if fill.part == name), None)


def mapped(art: Artwork, factor: float, x_mm: float, y_mm: float, *, flip: bool = False) -> Artwork:
    """Return an artwork scaled about the origin, flipped left to right, then moved.

    Parameters
    ----------
    art
        The artwork.
    factor
        Scale.
    x_mm, y_mm
        How far it is moved after that, mm.
    flip
        Whether left and right are exchanged, about x = 0.
    """
    from shapely import affinity

    across = -factor if flip else factor
    matrix = (across, 0.0, 0.0, factor, x_mm, y_mm)
    fills = tuple(
        replace(fill, shape=affinity.affine_transform(fill.shape, matrix)) for fill in art.fills
    )
    if art.pixels is None:
        return Artwork(fills)
    left, top, right, bottom = art.pixels.box_mm
    sides = sorted((across * left + x_mm, across * right + x_mm))
    box = (sides[0], factor * top + y_mm, sides[1], factor * bottom + y_mm)
    mirrored = art.pixels.mirrored != flip
    shape = art.pixels.shape
    if shape is not None:
        shape = affinity.affine_transform(shape, matrix)
    return Artwork(fills, replace(art.pixels, box_mm=box, mirrored=mirrored, shape=shape))


def at_origin(art: Artwork) -> Artwork:
    """Return an artwork moved so that its upper left corner is the origin."""
    left, top, _, _ = art.bounds_mm()
    return mapped(art, 1.0, -left, -top)


def colours_of(art: Artwork) -> Iterator[Colour]:
    """Yield each ink once, from below to above."""
    yield from dict.fromkeys(fill.colour for fill in art.fills)
    if art.pixels is not None:
        yield art.pixels.mean
