"""Results and standings as a table that grows over as many pages as it needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from hillbench.sheets import path
from hillbench.sheets.drawing import Drawing, Mark, Shape, Stroke, Words
from hillbench.sheets.flow import ACCENT, INK, LEADING, MUTED, RULE, Block, gap, paragraph
from hillbench.sheets.font import shorten, width_mm, wrap
from hillbench.sheets.page import PageSize
from hillbench.sheets.page_frame import Link, frame, paged

_SIZES_MM: Final = (3.4, 3.0, 2.6, 2.3)
_GAP_MM: Final = 3.0


@dataclass(frozen=True, slots=True)
class ResultColumn:
    """One column of results.

    Attributes
    ----------
    title
        What stands in it.
    side
        Words to the left, numbers to the right.
    strong
        Whether it is set in bold.
    """

    title: str
    side: Literal["left", "right"] = "left"
    strong: bool = False


@dataclass(frozen=True, slots=True)
class ResultsContent:
    """Everything a sheet of results says.

    Attributes
    ----------
    kind
        Such as Results or Standings.
    title
        Name of the meet or season.
    lines
        Day, track, class, format.
    sentence
        Who won, and how sure it is that it was the fastest car.
    columns, rows
        The table; each row as long as the columns.
    notes
        How it was scored, how ties were broken.
    link
        The page of the meet.
    foot
        Who made the sheet and when.
    """

    kind: str
    title: str
    lines: tuple[str, ...]
    sentence: str
    columns: tuple[ResultColumn, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...]
    link: Link
    foot: str


def results_sheet(content: ResultsContent, size: PageSize) -> Drawing:
    """Return the results on as many pages as they need, the columns' names on each."""
    around = frame(size, content.kind, content.title, content.lines, content.link, content.foot)
    room = around.width_mm
    type_mm, widths = _widths(content, room)
    if content.sentence:
        said = paragraph(content.sentence, room, 4.2, "bold")
        marks = (*around.marks, said.at(around.left_mm, around.top_mm))
        around = replace(around, marks=marks, top_mm=around.top_mm + said.height_mm + 2.5)
    blocks = [_row(content, row, widths, type_mm) for row in content.rows]
    blocks += [gap(3.0), *(paragraph(note, room, 2.8, colour=MUTED) for note in content.notes)]
    names = _names(content, widths, type_mm)
    return Drawing(f"{content.kind}: {content.title}", paged(around, size, blocks, names))


def _widths(content: ResultsContent, room: float) -> tuple[float, list[float]]:
    """Return the size of the type and the width of each column; the widest give way first."""
    wanted: list[float] = []
    for size in _SIZES_MM:
        wanted = [_widest(content, number, size) for number in range(len(content.columns))]
        if sum(wanted) <= room:
            break
    else:
        size = _SIZES_MM[-1]
        most = max(wanted, default=0.0)
        while sum(wanted) > room and most > 1.0:
            most -= 0.5
            wanted = [min(width, most) for width in wanted]
    spare = (room - sum(wanted)) / max(len(wanted), 1)
    return size, [width + spare for width in wanted]


def _widest(content: ResultsContent, number: int, size: float) -> float:
    column = content.columns[number]
    font = "bold" if column.strong else "regular"
    cells = [width_mm(row[number], size, font) for row in content.rows]
    title = max(width_mm(word, size, "bold") for word in column.title.split() or [""])
    return max([title, *cells]) + _GAP_MM


def _names(content: ResultsContent, widths: Sequence[float], size: float) -> Block:
    lines = [
        wrap(column.title, width - _GAP_MM + 1e-6, size, "bold")
        for column, width in zip(content.columns, widths, strict=True)
    ]
    deep = max((len(one) for one in lines), default=1)
    marks: list[Mark] = []
    left = 0.0
    for column, width, titles in zip(content.columns, widths, lines, strict=True):
        for number, text in enumerate(titles):
            y = LEADING * size * (deep - len(titles) + number + 1) - 0.3 * size
            marks.append(_cell(text, column, left, width, y, size, "bold"))
        left += width
    bottom = LEADING * size * deep + 0.6
    marks.append(Shape(path.polyline([(0.0, bottom), (left, bottom)]), stroke=Stroke(ACCENT, 0.3)))
    return Block(bottom + 1.0, tuple(marks))


def _row(
    content: ResultsContent, row: tuple[str, ...], widths: Sequence[float], size: float
) -> Block:
    marks: list[Mark] = []
    left = 0.0
    for column, text, width in zip(content.columns, row, widths, strict=True):
        font = "bold" if column.strong else "regular"
        fitting = shorten(text, width - _GAP_MM + 1e-6, size, font)
        marks.append(_cell(fitting, column, left, width, 1.25 * size, size, font))
        left += width
    height = 1.85 * size
    marks.append(Shape(path.polyline([(0.0, height), (left, height)]), stroke=Stroke(RULE, 0.15)))
    return Block(height, tuple(marks))


def _cell(
    text: str, column: ResultColumn, left: float, width: float, y: float, size: float, font: str
) -> Words:
    if column.side == "right":
        return Words(left + width - _GAP_MM, y, text, size, font, INK, "end")
    return Words(left, y, text, size, font, INK)
