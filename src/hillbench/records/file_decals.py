"""Panels, art and liveries in an exported bench."""

from __future__ import annotations

import base64
import binascii
import struct
from collections.abc import Iterator, Sequence
from typing import Annotated, Any, Final

from pydantic import AwareDatetime, Field, TypeAdapter, ValidationError

from hillbench.decals.item import Item, check_item
from hillbench.decals.panel import Panel, check_panel
from hillbench.errors import Problem
from hillbench.records.document import Document, Id, Named, Removable

_MOST_PX: Final = 2400
_PNG: Final = b"\x89PNG\r\n\x1a\n"
_Ring = Annotated[list[tuple[float, float]], Field(min_length=3, max_length=200_000)]
_Polygons = list[Annotated[list[_Ring], Field(min_length=1)]]
_Colour = Annotated[str, Field(pattern=r"^#[0-9a-f]{6}$")]


class ArtFill(Document):
    """A shape in one colour."""

    colour: _Colour
    """Ink as on white paper, sRGB."""
    part: str
    """What it is: art, letters, outline, drop or ground."""
    polygons: _Polygons
    """Each part as its outline and its holes, corners in mm."""


class ArtPixels(Document):
    """A picture of pixels."""

    png: str
    """The file in base64: eight bits, RGB or RGB with alpha."""
    size_px: tuple[int, int]
    """Width and height, px."""
    box_mm: tuple[float, float, float, float]
    """Left, top, right and bottom, mm."""
    mean: _Colour
    """Mean colour of what is not clear."""
    polygons: _Polygons | None = None
    """Outline of what is not clear; null where all of the box is printed."""


class ArtContent(Document):
    """What is drawn in a piece of art."""

    fills: list[ArtFill] = []
    """Shapes from below to above."""
    pixels: ArtPixels | None = None
    """A picture above them."""


class DecalPanel(Removable):
    """One panel of a casting."""

    casting_id: Id
    """The casting."""
    name: str
    """What it is called."""
    panel: dict[str, Any]
    """As in the file of `hillbench decals`."""
    changed_at: AwareDatetime
    """When it was last changed."""


class DecalArt(Named):
    """A piece of art, already made safe."""

    content: dict[str, Any]
    """``fills`` (colour, part and polygons in mm) and ``pixels`` (PNG in base64, size and box)."""


class Livery(Named):
    """A scheme of decals for a casting."""

    casting_id: Id
    """The casting."""
    scheme: dict[str, Any]
    """As in the file of `hillbench decals`, without panels."""


def check_decals(
    panels: Sequence[DecalPanel], arts: Sequence[DecalArt], liveries: Sequence[Livery]
) -> Iterator[Problem]:
    """Yield what the app would not have let anyone enter.

    Parameters
    ----------
    panels, arts, liveries
        As in the file.
    """
    for index, one in enumerate(panels):
        where = f"decal_panels[{index}].panel"
        found = _formed(where, TypeAdapter(Panel), one.panel)
        yield from [found] if isinstance(found, Problem) else check_panel(found, where)
    for index, art in enumerate(arts):
        where = f"decal_art[{index}].content"
        content = _formed(where, TypeAdapter(ArtContent), art.content)
        yield from [content] if isinstance(content, Problem) else _check_pixels(where, content)
    for index, livery in enumerate(liveries):
        where = f"liveries[{index}].scheme.items"
        items = _formed(where, TypeAdapter(tuple[Item, ...]), livery.scheme.get("items", []))
        if isinstance(items, Problem):
            yield items
            continue
        for number, item in enumerate(items):
            yield from check_item(item, f"{where}[{number}]")


def _formed(where: str, adapter: TypeAdapter[Any], value: object) -> Any:  # noqa: ANN401 (what the adapter makes)
    """Return what a part of the document says, or what is wrong with its form."""
    try:
        return adapter.validate_python(value)
    except ValidationError as error:
        first = error.errors()[0]
        place = "".join(f".{step}" for step in first["loc"])
        return Problem(f"{where}{place}", "of another form", str(first["msg"]))


def _check_pixels(where: str, content: ArtContent) -> Iterator[Problem]:
    """Look at the head of a picture, which is never opened here."""
    if content.pixels is None:
        return
    try:
        head = base64.b64decode(content.pixels.png[:64], validate=True)
        width, height, depth = struct.unpack(">IIB", head[16:25])
    except (binascii.Error, struct.error):
        head, width, height, depth = b"", 0, 0, 0
    good = head.startswith(_PNG) and 0 < width <= _MOST_PX and 0 < height <= _MOST_PX
    if not good or depth != 8 or (width, height) != content.pixels.size_px:
        allowed = f"a PNG with 8 bits of at most {_MOST_PX} px each way, of the size told"
        yield Problem(f"{where}.pixels.png", "another picture", allowed)
