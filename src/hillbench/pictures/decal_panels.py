"""The panels of a car side by side: bare, and with the decals on them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from hillbench.decals.artwork import Artwork
from hillbench.decals.panel import Panel
from hillbench.pictures import drawing
from hillbench.pictures.decal_marks import Frame, Seen, art_marks, outline_mark, panel_marks

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_EDGE_PX: Final = 10.0
_GAP_PX: Final = 26.0
_LABEL_PX: Final = 34.0
_HEAD_PX: Final = 26.0
_MOST_PX_PER_MM: Final = 9.0
_LEAST_PX_PER_MM: Final = 2.5
_BEFORE_SHARE: Final = 0.5


@dataclass(frozen=True, slots=True)
class OnPanel:
    """One piece where it lies on its panel.

    Attributes
    ----------
    panel
        Name of the panel.
    label
        What it is.
    art
        In the coordinates of the panel, turned and moved, mm.
    cut
        Its cut line there.
    seen
        What each ink comes out as on this paint.
    fits
        Whether it lies on free panel.
    item, place
        Numbers by which a page moves it.
    x_mm, y_mm
        Its middle.
    href
        Address of its picture of pixels; empty for none.
    """

    panel: str
    label: str
    art: Artwork
    cut: BaseGeometry = field(repr=False)
    seen: Seen
    fits: bool
    item: int
    place: int
    x_mm: float
    y_mm: float
    href: str = ""


@dataclass(frozen=True, slots=True)
class _Cell:
    panel: Panel
    frame: Frame


def panels_picture(
    panels: Sequence[Panel],
    pieces: Sequence[OnPanel],
    width_px: float = drawing.WIDE_PX,
    key: str = "panels",
    *,
    standalone: bool = False,
) -> str:
    """Return the panels before and after as SVG text; without pieces the panels alone.

    Parameters
    ----------
    panels
        Panels of the casting.
    pieces
        What lies on them.
    width_px
        Width of the picture.
    key
        Name of the picture, unique in its page.
    standalone
        Whether it is to be a file of its own.
    """
    scale = _scale(panels, width_px)
    marks: list[drawing.Mark] = []
    bottom = 0.0
    if pieces:
        marks.append(drawing.words(_EDGE_PX, 16.0, "Before", "words-quiet"))
        cells, bottom = _flow(panels, width_px, _HEAD_PX, scale * _BEFORE_SHARE, label_px=10.0)
        for cell in cells:
            marks += panel_marks(cell.panel, cell.frame)
        marks.append(drawing.words(_EDGE_PX, bottom + 16.0, "After", "words-strong"))
        bottom += _HEAD_PX
    cells, bottom = _flow(panels, width_px, bottom + 4.0, scale, label_px=_LABEL_PX)
    for cell in cells:
        marks += panel_marks(cell.panel, cell.frame)
        marks += _words(cell)
        marks += [
            mark for one in pieces if one.panel == cell.panel.name for mark in _piece(one, cell)
        ]
    return drawing.picture(
        key,
        "The panels of the car, before and after" if pieces else "The panels of the car",
        _description(panels, pieces),
        (width_px, bottom),
        marks,
        standalone=standalone,
    )


def _scale(panels: Sequence[Panel], width_px: float) -> float:
    sizes = [panel.size_mm()[0] for panel in panels]
    room = width_px - 2.0 * _EDGE_PX
    rows = 2.0 if width_px >= drawing.ROOMY_PX else 4.0
    spread = (rows * room - _GAP_PX * len(sizes)) / max(1.25 * sum(sizes), 1.0)
    widest = room / max([*sizes, 1.0])
    return max(min(spread, widest, _MOST_PX_PER_MM), min(_LEAST_PX_PER_MM, widest))


def _flow(
    panels: Sequence[Panel], width_px: float, top: float, scale: float, *, label_px: float
) -> tuple[list[_Cell], float]:
    """Return the panels in rows and the lower end of the last row."""
    cells: list[_Cell] = []
    x, high = _EDGE_PX, 0.0
    for panel in panels:
        wide, tall = (side * scale for side in panel.size_mm())
        if x > _EDGE_PX and x + wide > width_px - _EDGE_PX:
            x, top, high = _EDGE_PX, top + high + label_px, 0.0
        left_mm = min(corner[0] for corner in panel.corners())
        top_mm = min(corner[1] for corner in panel.corners())
        cells.append(_Cell(panel, Frame(x - left_mm * scale, top - top_mm * scale, scale)))
        x, high = x + max(wide, 70.0 if label_px > 20.0 else 0.0) + _GAP_PX, max(high, tall)
    return cells, top + high + label_px


def _words(cell: _Cell) -> Iterator[drawing.Mark]:
    wide, tall = cell.panel.size_mm()
    left, bottom = cell.frame.at(0.0, max(corner[1] for corner in cell.panel.corners()))
    yield drawing.words(left, bottom + 14.0, cell.panel.name, "words-quiet")
    note = f"{wide:.1f} × {tall:.1f} mm"
    yield drawing.words(left, bottom + 27.0, note, "words-quiet")


def _piece(one: OnPanel, cell: _Cell) -> Iterator[drawing.Mark]:
    marks = art_marks(one.art, cell.frame, one.seen, one.href)
    marks.append(outline_mark(one.cut, cell.frame, "gate", named=one.label))
    if not one.fits:
        x, y = cell.frame.at(one.cut.bounds[2], one.cut.bounds[1])
        marks += drawing.cross(x, y, 5.0)
    data = {
        "mark": "piece",
        "item": one.item,
        "place": one.place,
        "x_mm": f"{one.x_mm:.2f}",
        "y_mm": f"{one.y_mm:.2f}",
        "px_per_mm": f"{cell.frame.px_per_mm:.4f}",
    }
    yield drawing.group(marks, data)


def _description(panels: Sequence[Panel], pieces: Sequence[OnPanel]) -> str:
    parts = []
    for panel in panels:
        on_it = [one.label for one in pieces if one.panel == panel.name]
        parts.append(
            f"{panel.name} in {panel.paint}" + (f" with {', '.join(on_it)}" if on_it else "")
        )
    beyond = [one.label for one in pieces if not one.fits]
    told = "; ".join(parts) + "."
    return told + (f" Marked with a cross: {', '.join(beyond)}." if beyond else "")
