"""The heats of a race day by lane, with boxes for the times, to run on when all power fails."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from hillbench.sheets import path
from hillbench.sheets.drawing import Drawing, Mark, Shape, Stroke, Words
from hillbench.sheets.flow import ACCENT, INK, MUTED, RULE, Block
from hillbench.sheets.font import shorten
from hillbench.sheets.page import PageSize
from hillbench.sheets.page_frame import Link, frame, paged

_ROW_MM: Final = 17.0
_NUMBER_MM: Final = 16.0
_GAP_MM: Final = 2.0
_NAME_MM: Final = 3.2
_BOX_MM: Final = 7.6


@dataclass(frozen=True, slots=True)
class LaneEntry:
    """A car on a lane in one heat.

    Attributes
    ----------
    number
        Of the car in this meet.
    name
        Of the car.
    time
        Its time or what happened, where that is known already; may be empty.
    """

    number: str
    name: str
    time: str = ""


@dataclass(frozen=True, slots=True)
class HeatRow:
    """One heat.

    Attributes
    ----------
    name
        Number of the heat.
    lanes
        Who is on each lane; None for an empty one.
    note
        Such as a rerun; may be empty.
    """

    name: str
    lanes: tuple[LaneEntry | None, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class HeatSheetContent:
    """Everything a heat sheet says.

    Attributes
    ----------
    title
        Name of the meet.
    lines
        Day, track, class, format.
    lanes
        Name of each lane.
    heats
        In running order.
    link
        The page of the meet.
    foot
        Who made the sheet and when.
    """

    title: str
    lines: tuple[str, ...]
    lanes: tuple[str, ...]
    heats: tuple[HeatRow, ...]
    link: Link
    foot: str


def heat_sheet(content: HeatSheetContent, size: PageSize) -> Drawing:
    """Return the heats on as many pages as they need, the names of the lanes on each."""
    around = frame(size, "Heat sheet", content.title, content.lines, content.link, content.foot)
    step = (around.width_mm - _NUMBER_MM) / max(len(content.lanes), 1)
    blocks = [_heat(heat, step, around.width_mm) for heat in content.heats]
    return Drawing(
        f"Heat sheet: {content.title}", paged(around, size, blocks, _head(content.lanes, step))
    )


def _head(lanes: tuple[str, ...], step: float) -> Block:
    marks: list[Mark] = [Words(0.0, 4.0, "Heat", 3.2, "bold", ACCENT)]
    for number, lane in enumerate(lanes):
        left = _NUMBER_MM + number * step
        name = shorten(lane, step - _GAP_MM, 3.2, "bold")
        marks.append(Words(left, 4.0, name, 3.2, "bold", ACCENT))
    width = _NUMBER_MM + len(lanes) * step
    marks.append(Shape(path.polyline([(0.0, 5.6), (width, 5.6)]), stroke=Stroke(ACCENT, 0.3)))
    return Block(6.6, tuple(marks))


def _heat(heat: HeatRow, step: float, width: float) -> Block:
    marks: list[Mark] = [Words(0.0, 7.0, heat.name, 6.0, "bold", INK)]
    if heat.note:
        note = shorten(heat.note, _NUMBER_MM - 1.0, 2.4)
        marks.append(Words(0.0, 11.5, note, 2.4, "regular", MUTED))
    for number, entry in enumerate(heat.lanes):
        marks += _entry(entry, _NUMBER_MM + number * step, step - _GAP_MM)
    end = _ROW_MM - 1.2
    marks.append(Shape(path.polyline([(0.0, end), (width, end)]), stroke=Stroke(RULE, 0.2)))
    return Block(_ROW_MM, tuple(marks))


def _entry(entry: LaneEntry | None, left: float, room: float) -> list[Mark]:
    if entry is None:
        return [Words(left, 4.2, "empty", _NAME_MM, "regular", MUTED)]
    # A number stands in figures of one width, so that names begin at one place.
    name = shorten(f"{entry.number}  {entry.name}".strip(), room, _NAME_MM, "bold")
    outline = path.rectangle(left, 5.6, room, _BOX_MM, 0.8)
    marks: list[Mark] = [
        Words(left, 4.2, name, _NAME_MM, "bold", INK),
        Shape(outline, stroke=Stroke(MUTED, 0.25)),
    ]
    if entry.time:
        text = shorten(entry.time, room - 3.0, 4.4)
        marks.append(Words(left + room - 1.5, 10.9, text, 4.4, "regular", INK, "end"))
    else:
        marks.append(Words(left + room - 1.2, 12.2, "s", 2.4, "regular", MUTED, "end"))
    return marks
