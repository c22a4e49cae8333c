"""Marks in true colours: shapes, panels and pieces on a scale in px per mm.

Colours of paint and print stand in the marks themselves, since they are what is shown; all else
takes its colour from the palette.
"""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING

import svg

from hillbench.decals.artwork import Artwork, Pixels
from hillbench.decals.colour import Colour, parse_colour
from hillbench.decals.panel import Panel, keep_out_shape
from hillbench.decals.shapes import polygons_of
from hillbench.pictures import drawing

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Seen = Sequence[tuple[str, Colour]]
"""Code of each ink and what it comes out as."""


@dataclass(frozen=True, slots=True)
class Frame:
    """Where millimetres lie on the picture.

    Attributes
    ----------
    left_px, top_px
        Origin.
    px_per_mm
        Scale.
    """

    left_px: float
    top_px: float
    px_per_mm: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Return where a place in mm lies, px."""
        return self.left_px + x * self.px_per_mm, self.top_px + y * self.px_per_mm


def shape_mark(shape: BaseGeometry, frame: Frame, fill: Colour | None, **more: object) -> svg.Path:
    """Return a filled shape in a true colour; without one it is only an outline.

    Parameters
    ----------
    shape
        In mm.
    frame
        Where it lies.
    fill
        Its colour.
    **more
        Further attributes of the mark.
    """
    extra = {"fill": fill.code if fill is not None else "none", "fill-rule": "evenodd"}
    mark = svg.Path(d=_steps(shape, frame), extra=extra)
    for name, value in more.items():
        setattr(mark, name, value)
    return mark


def _steps(shape: BaseGeometry, frame: Frame) -> list[svg.PathData]:
    found: list[svg.PathData] = []
    for outline, holes in polygons_of(shape.simplify(0.2 / frame.px_per_mm)):
        for ring in (outline, *holes):
            places = [frame.at(x, y) for x, y in ring]
            found.append(svg.M(round(places[0][0], 2), round(places[0][1], 2)))
            found += [svg.L(round(x, 2), round(y, 2)) for x, y in places[1:]]
            found.append(svg.Z())
    return found


def panel_marks(panel: Panel, frame: Frame) -> list[drawing.Mark]:
    """Return a panel in its paint with its keep-outs hatched out."""
    from shapely.geometry import Polygon

    whole = Polygon(panel.corners())
    paint = parse_colour(panel.paint)
    marks: list[drawing.Mark] = [
        shape_mark(whole, frame, paint),
        outline_mark(whole, frame, "glass-edge" if panel.glass else "axis"),
    ]
    for one in panel.keep_outs:
        taken = keep_out_shape(one).intersection(whole)
        if not taken.is_empty:
            marks.append(outline_mark(taken, frame, "stays-free", named=one.name))
    return marks


def outline_mark(shape: BaseGeometry, frame: Frame, style: str, *, named: str = "") -> drawing.Mark:
    """Return the outline of a shape in a style of the palette.

    Parameters
    ----------
    shape
        In mm.
    frame
        Where it lies.
    style
        Style class.
    named
        What it is, told on hovering; empty for nothing.
    """
    mark = svg.Path(d=_steps(shape, frame), class_=[style])
    if named:
        mark.elements = [svg.Title(text=escape(named))]
    return mark


def art_marks(art: Artwork, frame: Frame, seen: Seen, href: str = "") -> list[drawing.Mark]:
    """Return what is printed, in the colours it comes out in.

    Parameters
    ----------
    art
        In mm, already where it lies.
    frame
        Where its millimetres lie.
    seen
        What each ink comes out as.
    href
        Address of its picture of pixels; written into the drawing where empty.
    """
    shown = dict(seen)
    marks: list[drawing.Mark] = [
        shape_mark(fill.shape, frame, shown.get(fill.colour.code, fill.colour))
        for fill in art.fills
    ]
    if art.pixels is not None:
        marks.append(_pixel_box(art.pixels, frame, href))
    return marks


def _pixel_box(pixels: Pixels, frame: Frame, href: str) -> drawing.Mark:
    left, top = frame.at(pixels.box_mm[0], pixels.box_mm[1])
    right, bottom = frame.at(pixels.box_mm[2], pixels.box_mm[3])
    data = base64.b64encode(pixels.png).decode("ascii")
    image = svg.Image(
        x=round(left, 2),
        y=round(top, 2),
        width=round(right - left, 2),
        height=round(bottom - top, 2),
        href=href or f"data:image/png;base64,{data}",
        preserveAspectRatio=svg.PreserveAspectRatio("none"),
    )
    if pixels.mirrored:
        image.extra = {"transform": f"translate({left + right:.2f} 0) scale(-1 1)"}
    return image
