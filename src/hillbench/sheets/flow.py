"""Blocks of words that are stacked in columns and made smaller until they fit a page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.pictures.palette import TONES
from hillbench.sheets import path
from hillbench.sheets.colour import Rgb
from hillbench.sheets.drawing import Group, Mark, Shape, Stroke, Words
from hillbench.sheets.font import shorten, width_mm, wrap
from hillbench.sheets.path import Transform

INK: Final = Rgb.parse(TONES["ink"].light)
MUTED: Final = Rgb.parse(TONES["muted"].light)
RULE: Final = Rgb.parse(TONES["rule"].light)
ACCENT: Final = Rgb.parse(TONES["accent"].light)
BEFORE: Final = Rgb.parse(TONES["before"].light)
WARNING: Final = Rgb.parse(TONES["warning"].light)

LEADING: Final = 1.3
"""From line to line, in sizes of the type."""

SIZES_MM: Final = (3.4, 3.2, 3.0, 2.8, 2.6, 2.4, 2.25, 2.12)
"""Sizes of type tried, largest first; 2.12 mm is 6 points, the least that is read at arm's
length (common practice, no source)."""

_LABEL_SHARE: Final = 0.42
_GAP_MM: Final = 2.0


@dataclass(frozen=True, slots=True)
class Block:
    """Marks that stand together, drawn from their own upper left corner.

    Attributes
    ----------
    height_mm
        How much of the column they take.
    marks
        What is drawn.
    """

    height_mm: float
    marks: tuple[Mark, ...]

    def at(self, x_mm: float, y_mm: float) -> Group:
        """Return the block with its corner at a place."""
        return Group(self.marks, Transform.shift(x_mm, y_mm))


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a table: what, and how much.

    Attributes
    ----------
    label
        What it is.
    value
        Its value in words, with its unit.
    strong
        Whether it is set in bold, as a sum is.
    """

    label: str
    value: str
    strong: bool = False


def gap(height_mm: float) -> Block:
    """Return empty paper."""
    return Block(height_mm, ())


def heading(text: str, room_mm: float, size_mm: float) -> Block:
    """Return a heading with a line in the accent colour below it."""
    size = 1.12 * size_mm
    words = shorten(text, room_mm, size, "bold")
    rule = path.polyline([(0.0, 1.5 * size), (room_mm, 1.5 * size)])
    return Block(
        1.5 * size + 0.5 * size_mm,
        (
            Words(0.0, 1.1 * size, words, size, "bold", ACCENT),
            Shape(rule, stroke=Stroke(ACCENT, 0.3)),
        ),
    )


def paragraph(
    text: str, room_mm: float, size_mm: float, font: str = "regular", colour: Rgb = INK
) -> Block:
    """Return words broken into lines."""
    lines = wrap(text, room_mm, size_mm, font)
    marks = tuple(
        Words(0.0, size_mm * (LEADING * number + 0.95), line, size_mm, font, colour)
        for number, line in enumerate(lines)
    )
    return Block(LEADING * size_mm * len(lines), marks)


def table(rows: Sequence[Row], room_mm: float, size_mm: float) -> list[Block]:
    """Return each row as a block: label to the left, value to the right, a line below."""
    return [_row(row, room_mm, size_mm) for row in rows]


def _row(row: Row, room: float, size: float) -> Block:
    font = "bold" if row.strong else "regular"
    whole = width_mm(row.label, size, font) + width_mm(row.value, size, font)
    label_room = room - _GAP_MM - width_mm(row.value, size, font)
    if whole > room - _GAP_MM:
        label_room = _LABEL_SHARE * room
    labels = wrap(row.label, label_room, size, font)
    values = wrap(row.value, room - label_room - _GAP_MM + 1e-6, size, font)
    colour = INK if row.strong else MUTED
    step = LEADING * size
    marks: list[Mark] = []
    for number, line in enumerate(labels):
        marks.append(Words(0.0, number * step + 0.98 * size, line, size, font, colour))
    for number, line in enumerate(values):
        place = number * step + 0.98 * size
        marks.append(Words(room, place, line, size, font, INK, "end"))
    height = step * max(len(labels), len(values), 1) + 0.22 * size
    marks.append(Shape(path.polyline([(0.0, height), (room, height)]), stroke=Stroke(RULE, 0.15)))
    return Block(height + 0.12 * size, tuple(marks))


def section(title: str, blocks: Sequence[Block], room_mm: float, size_mm: float) -> list[Block]:
    """Return a heading and what stands below it; nothing where there is nothing."""
    if not blocks:
        return []
    return [heading(title, room_mm, size_mm), *blocks, gap(1.3 * size_mm)]


def height_of(blocks: Sequence[Block]) -> float:
    """Return how tall a stack is, mm."""
    return sum(block.height_mm for block in blocks)


def stack(blocks: Sequence[Block], x_mm: float, y_mm: float) -> tuple[Mark, ...]:
    """Return blocks one below the other."""
    marks: list[Mark] = []
    for block in blocks:
        if block.marks:
            marks.append(block.at(x_mm, y_mm))
        y_mm += block.height_mm
    return tuple(marks)


def fit(
    make: Callable[[float], Sequence[Sequence[Block]]], room_mm: float, left_out: str
) -> tuple[Sequence[Sequence[Block]], float]:
    """Return columns in the largest type that fits, and that size.

    Parameters
    ----------
    make
        Makes the columns for a size of type, mm.
    room_mm
        Height of the page for them.
    left_out
        What is said at the foot of a column that is too long even in the smallest type.
    """
    columns: Sequence[Sequence[Block]] = ()
    for size_mm in SIZES_MM:
        columns = make(size_mm)
        if all(height_of(column) <= room_mm for column in columns):
            return columns, size_mm
    size_mm = SIZES_MM[-1]
    return [_cut(column, room_mm, size_mm, left_out) for column in columns], size_mm


def _cut(blocks: Sequence[Block], room: float, size: float, left_out: str) -> list[Block]:
    if height_of(blocks) <= room:
        return list(blocks)
    kept: list[Block] = []
    for block in blocks:
        if height_of(kept) + block.height_mm > room - LEADING * size:
            break
        kept.append(block)
    notice = Words(0.0, 0.95 * size, left_out, size, "regular", MUTED)
    return [*kept, Block(LEADING * size, (notice,))]
