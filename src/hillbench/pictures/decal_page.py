"""A sheet of decals as it will be printed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from hillbench.decals.artwork import Artwork
from hillbench.decals.sheet_size import SheetSize
from hillbench.pictures import drawing
from hillbench.pictures.decal_marks import Frame, art_marks, outline_mark

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_EDGE_PX: Final = 8.0


@dataclass(frozen=True, slots=True)
class OnSheet:
    """One piece where it lies on the sheet.

    Attributes
    ----------
    label
        What it is.
    art
        In the coordinates of the sheet, mm.
    cut
        Its cut line there.
    href
        Address of its picture of pixels; empty for none.
    """

    label: str
    art: Artwork
    cut: BaseGeometry = field(repr=False)
    href: str = ""


def page_picture(
    size: SheetSize,
    foot_mm: float,
    pieces: Sequence[OnSheet],
    width_px: float = drawing.WIDE_PX,
    key: str = "sheet",
) -> str:
    """Return one sheet as SVG text: its edge, its margins and what is printed on it.

    Parameters
    ----------
    size
        The sheet.
    foot_mm
        Height at its lower end that the bars take, mm.
    pieces
        What lies on it.
    width_px
        Width of the picture.
    key
        Name of the picture, unique in its page.
    """
    lowest = max((one.cut.bounds[3] for one in pieces), default=30.0) + 12.0
    shown_mm = min(size.height_mm, max(lowest, 0.28 * size.height_mm))
    scale = (width_px - 2.0 * _EDGE_PX) / size.width_mm
    frame = Frame(_EDGE_PX, _EDGE_PX, scale)
    marks = _paper(size, shown_mm, foot_mm, frame)
    for one in pieces:
        drawn = art_marks(one.art, frame, (), one.href)
        drawn.append(outline_mark(one.cut, frame, "line-accent-thin", named=one.label))
        marks.append(drawing.group(drawn, {"mark": "piece"}))
    cut_off = size.height_mm - shown_mm
    bottom = frame.at(0.0, shown_mm)[1] + 22.0
    if cut_off > 1.0:
        note = f"{cut_off:.0f} mm more below, with the 100 mm bar at its foot"
        marks.append(drawing.words(_EDGE_PX, bottom - 6.0, note, "words-quiet"))
    return drawing.picture(
        key,
        "The sheet of decals",
        f"{len(pieces)} pieces on a sheet of {size.width_mm:g} by {size.height_mm:g} mm.",
        (width_px, bottom),
        marks,
    )


def _paper(size: SheetSize, shown_mm: float, foot_mm: float, frame: Frame) -> list[drawing.Mark]:
    from shapely import box

    sheet = box(0.0, 0.0, size.width_mm, shown_mm)
    right = size.width_mm - size.margin_right_mm
    bottom = size.height_mm - size.margin_bottom_mm - foot_mm
    usable = box(size.margin_left_mm, size.margin_top_mm, right, min(bottom, shown_mm))
    return [
        outline_mark(sheet, frame, "sheet"),
        outline_mark(usable, frame, "clearance"),
    ]


def item_picture(art: Artwork, cut: BaseGeometry, key: str = "item") -> str:
    """Return one item on white film with its cut line as SVG text.

    Parameters
    ----------
    art
        What is printed.
    cut
        What is cut out.
    key
        Name of the picture, unique in its page.
    """
    left, top, right, bottom = cut.bounds
    scale = min(320.0 / (right - left), 150.0 / (bottom - top), 24.0)
    frame = Frame(_EDGE_PX - left * scale, _EDGE_PX - top * scale, scale)
    size = ((right - left) * scale + 2.0 * _EDGE_PX, (bottom - top) * scale + 2.0 * _EDGE_PX)
    marks = [outline_mark(cut, frame, "sheet"), *art_marks(art, frame, ())]
    marks.append(outline_mark(cut, frame, "line-accent-thin"))
    description = f"{right - left:.1f} by {bottom - top:.1f} mm on white film."
    return drawing.picture(key, "The item as printed and cut", description, size, marks)
