"""An item as artwork: letters, the edge around them, the drop below, the ground behind."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from hillbench.decals.artwork import Artwork, Fill, at_origin, mapped
from hillbench.decals.colour import Colour, parse_colour
from hillbench.decals.item import AUTO, Ground, Item, lettering_of
from hillbench.decals.lettering import set_text
from hillbench.decals.shapes import grown
from hillbench.errors import InvalidInput, Problem

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

DARK = Colour(17 / 255, 17 / 255, 17 / 255)
LIGHT = Colour(1.0, 1.0, 1.0)


def draw_item(
    item: Item,
    height_mm: float,
    ink: Colour,
    arts: Mapping[str, Artwork],
    *,
    mirrored: bool = False,
) -> Artwork:
    """Return an item as printed at one height, its upper left corner at the origin.

    Parameters
    ----------
    item
        The item.
    height_mm
        Height of its letters, or of its art, mm.
    ink
        Colour of letters whose colour is ``auto``.
    arts
        Art by name.
    mirrored
        Whether it is the right-hand one of a mirrored pair.

    Raises
    ------
    InvalidInput
        If its art is not there, or its text cannot be set.
    """
    if item.art is not None:
        return at_origin(_sized_art(item, height_mm, arts, mirrored=mirrored))
    letters = set_text(lettering_of(item, height_mm, mirrored=mirrored))
    colour = ink if item.colour == AUTO else parse_colour(item.colour)
    fills = [Fill(colour, letters, "letters")]
    if item.outline is not None:
        edge = grown(letters, item.outline.width_mm)
        fills.insert(0, Fill(parse_colour(item.outline.colour), edge, "outline"))
    if item.drop is not None:
        shift = -item.drop.right_mm if mirrored else item.drop.right_mm
        dropped = _dropped(fills[0].shape, shift, item.drop.down_mm)
        fills.insert(0, Fill(parse_colour(item.drop.colour), dropped, "drop"))
    if item.ground is not None:
        fills.insert(0, _ground(item.ground, [fill.shape for fill in fills]))
    return at_origin(Artwork(tuple(fills)))


def _sized_art(
    item: Item, height_mm: float, arts: Mapping[str, Artwork], *, mirrored: bool
) -> Artwork:
    art = arts.get(item.art or "")
    if art is None:
        allowed = "one of: " + (", ".join(arts) or "none, as there is no art yet")
        raise InvalidInput([Problem("art", repr(item.art), allowed)])
    _, top, _, bottom = art.bounds_mm()
    return mapped(art, height_mm / (bottom - top), 0.0, 0.0, flip=mirrored)


def _dropped(shape: BaseGeometry, right_mm: float, down_mm: float) -> BaseGeometry:
    """Return the shape shifted, joined to where it came from so that no gap shows."""
    from shapely import affinity, union_all

    steps = 12
    return union_all(
        [
            affinity.translate(shape, right_mm * step / steps, down_mm * step / steps)
            for step in range(1, steps + 1)
        ]
    )


def _ground(ground: Ground, shapes: list[BaseGeometry]) -> Fill:
    from shapely import box, minimum_bounding_circle, union_all

    colour = parse_colour(ground.colour)
    inside = union_all(shapes)
    if ground.shape == "roundel":
        circle = minimum_bounding_circle(inside)
        radius_mm = (circle.area / 3.141592653589793) ** 0.5
        return Fill(colour, grown(circle.centroid, radius_mm + ground.margin_mm), "ground")
    round_mm = max(ground.margin_mm, 0.5)
    square = grown(box(*inside.bounds), ground.margin_mm)
    return Fill(colour, grown(square.buffer(-round_mm, join_style="mitre"), round_mm), "ground")
