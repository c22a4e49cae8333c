"""Panels, art and schemes as they are kept, and back."""

from __future__ import annotations

import base64
import dataclasses
import json
from typing import TYPE_CHECKING, Any, Final

from hillbench.decals.artwork import Artwork, Fill, Pixels
from hillbench.decals.colour import parse_colour
from hillbench.decals.panel import Panel
from hillbench.decals.shapes import polygons_of
from hillbench.usecases.decal_question import DecalQuestion
from hillbench.usecases.question import read_question

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Document = dict[str, Any]

_DECIMALS: Final = 4


def panel_document(panel: Panel) -> Document:
    """Return a panel as it is kept."""
    return _plain(panel)


def read_panel(document: Document) -> Panel:
    """Return a kept panel; raises `InvalidInput` where it came broken with an import."""
    return read_question(json.dumps(document), Panel)


def scheme_document(question: DecalQuestion) -> Document:
    """Return a scheme as it is kept: all of a question but its panels and its title."""
    document = _plain(question)
    del document["panels"], document["title"]
    return document


def read_scheme(document: Document, title: str, panels: tuple[Panel, ...]) -> DecalQuestion:
    """Return a kept scheme on the panels of a casting.

    Parameters
    ----------
    document
        As kept.
    title
        Name of the livery.
    panels
        Panels of its casting.
    """
    scheme = read_question(json.dumps(document), DecalQuestion)
    return dataclasses.replace(scheme, title=title, panels=panels)


def art_document(art: Artwork) -> Document:
    """Return art as it is kept."""
    document: Document = {"fills": [_fill_document(fill) for fill in art.fills]}
    if art.pixels is not None:
        pixels = art.pixels
        document["pixels"] = {
            "png": base64.b64encode(pixels.png).decode("ascii"),
            "size_px": [pixels.width_px, pixels.height_px],
            "box_mm": list(pixels.box_mm),
            "mean": pixels.mean.code,
        }
        if pixels.shape is not None:
            document["pixels"]["polygons"] = _polygons(pixels.shape)
    return document


def read_art(document: Document) -> Artwork:
    """Return kept art."""
    fills = tuple(_fill(one) for one in document["fills"])
    pixels = document.get("pixels")
    if pixels is None:
        return Artwork(fills)
    width_px, height_px = pixels["size_px"]
    left, top, right, bottom = pixels["box_mm"]
    kept = Pixels(
        base64.b64decode(pixels["png"]),
        *(int(width_px), int(height_px), (left, top, right, bottom)),
        mean=parse_colour(pixels["mean"]),
        shape=_shape(pixels["polygons"]) if "polygons" in pixels else None,
    )
    return Artwork(fills, kept)


def _fill_document(fill: Fill) -> Document:
    return {"colour": fill.colour.code, "part": fill.part, "polygons": _polygons(fill.shape)}


def _polygons(shape: BaseGeometry) -> list[list[list[list[float]]]]:
    """Return each part of a shape as its outline and its holes."""
    return [
        [
            [[round(x, _DECIMALS), round(y, _DECIMALS)] for x, y in ring]
            for ring in (outline, *holes)
        ]
        for outline, holes in polygons_of(shape)
    ]


def _fill(document: Document) -> Fill:
    colour = parse_colour(document["colour"])
    return Fill(colour, _shape(document["polygons"]), str(document["part"]))


def _shape(polygons: list[list[list[list[float]]]]) -> BaseGeometry:
    from shapely import make_valid, union_all
    from shapely.geometry import Polygon

    return union_all([make_valid(Polygon(one[0], one[1:])) for one in polygons])


def _plain(thing: Any) -> Document:  # noqa: ANN401 (any dataclass)
    document: Document = json.loads(json.dumps(dataclasses.asdict(thing)))
    return document
