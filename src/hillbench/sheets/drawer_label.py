"""Labels for the drawer: cut from a page, or printed one by one on a label printer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.sheets import path
from hillbench.sheets.drawing import CUT as CUT_LAYER
from hillbench.sheets.drawing import (
    PRINT,
    Drawing,
    Group,
    Layer,
    Mark,
    Page,
    Shape,
    Stroke,
    Words,
)
from hillbench.sheets.flow import ACCENT, INK, LEADING, MUTED
from hillbench.sheets.font import shorten, wrap
from hillbench.sheets.page import PageSize
from hillbench.sheets.page_frame import MARGIN_MM
from hillbench.sheets.path import Transform
from hillbench.sheets.qr_code import qr_marks
from hillbench.sheets.ruler import RULER_HEIGHT_MM, ruler_marks

LABEL: Final = PageSize("label", 62.0, 29.0)
"""A label that small drawers hold and label printers print (common practice, no source)."""

_EDGE_MM: Final = 2.0
_NAME_SIZES_MM: Final = (4.2, 3.6, 3.1)
_LINE_MM: Final = 2.7


@dataclass(frozen=True, slots=True)
class LabelContent:
    """What one label says.

    Attributes
    ----------
    kind
        What kind of thing it is, small above its name.
    name
        What it is called.
    lines
        Size, mass, price, when to buy more.
    address
        Its page, as a phone reaches it; empty where it cannot.
    """

    kind: str
    name: str
    lines: tuple[str, ...]
    address: str = ""


def label_page(labels: Sequence[LabelContent], size: PageSize) -> Drawing:
    """Return labels side by side on pages, with lines to cut along in a layer of their own.

    Parameters
    ----------
    labels
        What each says, in order.
    size
        The paper; one of the size of a label gets one label on each page.
    """
    if size.width_mm <= LABEL.width_mm or size.height_mm <= LABEL.height_mm:
        pages = [Page(size, (Layer(PRINT, _label(one, size)),)) for one in labels]
        return Drawing("Drawer labels", tuple(pages))
    across = int((size.width_mm - 2 * MARGIN_MM) // LABEL.width_mm)
    down = int((size.height_mm - 2 * MARGIN_MM - RULER_HEIGHT_MM - 3.0) // LABEL.height_mm)
    on_page = across * down
    starts = range(0, max(len(labels), 1), on_page)
    pages = [_page(labels[start : start + on_page], across, size) for start in starts]
    return Drawing("Drawer labels", tuple(pages))


def _page(labels: Sequence[LabelContent], across: int, size: PageSize) -> Page:
    marks: list[Mark] = []
    cuts: list[Mark] = []
    for place, label in enumerate(labels):
        left = MARGIN_MM + place % across * LABEL.width_mm
        top = MARGIN_MM + place // across * LABEL.height_mm
        marks.append(Group(_label(label, LABEL), Transform.shift(left, top)))
        outline = path.rectangle(left, top, LABEL.width_mm, LABEL.height_mm)
        cuts.append(Shape(outline, stroke=Stroke(MUTED, 0.15, (1.5, 1.5))))
    marks += ruler_marks(MARGIN_MM, size.height_mm - MARGIN_MM - RULER_HEIGHT_MM)
    return Page(size, (Layer(PRINT, tuple(marks)), Layer(CUT_LAYER, tuple(cuts))))


def _label(label: LabelContent, size: PageSize) -> tuple[Mark, ...]:
    side = min(size.height_mm - 2 * _EDGE_MM, 0.4 * size.width_mm) if label.address else 0.0
    room = size.width_mm - 2 * _EDGE_MM - side
    marks: list[Mark] = [Words(_EDGE_MM, _EDGE_MM + 2.3, label.kind, 2.4, "bold", ACCENT)]
    y = _EDGE_MM + 2.9
    name, name_mm = _two_lines(label.name, room)
    for line in name:
        y += 1.12 * name_mm
        marks.append(Words(_EDGE_MM, y, line, name_mm, "bold", INK))
    for line in [part for text in label.lines for part in wrap(text, room, _LINE_MM)]:
        y += LEADING * _LINE_MM
        if y > size.height_mm - _EDGE_MM:
            break
        marks.append(Words(_EDGE_MM, y, line, _LINE_MM, "regular", INK))
    if side:
        left = size.width_mm - _EDGE_MM - side
        marks += qr_marks(label.address, left, (size.height_mm - side) / 2.0, side)
    return tuple(marks)


def _two_lines(text: str, room: float) -> tuple[list[str], float]:
    """Return a name in two lines at most, as large as that allows."""
    for size in _NAME_SIZES_MM:
        lines = wrap(text, room, size, "bold")
        if len(lines) <= 2:
            return lines, size
    size = _NAME_SIZES_MM[-1]
    return [lines[0], shorten(" ".join(lines[1:]), room, size, "bold")], size
