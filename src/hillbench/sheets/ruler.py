"""Bars of known length, by which a print shows whether it came out in true size."""

from __future__ import annotations

from typing import Final

from hillbench.sheets import path
from hillbench.sheets.drawing import Mark, Shape, Stroke, Words
from hillbench.sheets.page import MM_PER_INCH

NOTE: Final = "Print at 100 %, do not fit to page."
"""Stands beside the bars of every sheet."""

METRIC_BAR_MM: Final = 100.0
INCH_BAR_INCH: Final = 4

RULER_HEIGHT_MM: Final = 13.0
"""How much room the bars take, from the note to the last number."""

_THICK_MM: Final = 0.5
_TICK_MM: Final = 1.6
_WORDS_MM: Final = 2.4


def ruler_marks(x_mm: float, y_mm: float) -> tuple[Mark, ...]:
    """Return the note, a bar of 100 mm and a bar of 4 in, from their upper left corner.

    The bars are solid, so that a caliper, a ruler or a scanner measures their ends.
    """
    first, second = y_mm + 3.4, y_mm + 9.0
    marks: list[Mark] = [Words(x_mm, y_mm + 2.2, NOTE, _WORDS_MM, "bold")]
    marks += _bar(x_mm, first, METRIC_BAR_MM, [10.0 * step for step in range(11)])
    marks += _bar(
        x_mm,
        second,
        INCH_BAR_INCH * MM_PER_INCH,
        [MM_PER_INCH * step / 4.0 for step in range(4 * INCH_BAR_INCH + 1)],
    )
    tail = x_mm + INCH_BAR_INCH * MM_PER_INCH + 1.6
    marks.append(Words(tail, first + 1.8, f"{METRIC_BAR_MM:g} mm", _WORDS_MM))
    marks.append(Words(tail, second + 1.8, f"{INCH_BAR_INCH} in", _WORDS_MM))
    return tuple(marks)


def _bar(x: float, y: float, length: float, ticks: list[float]) -> list[Mark]:
    bar: list[Mark] = [Shape(path.rectangle(x, y, length, _THICK_MM), fill=Stroke().colour)]
    # The ticks at the ends stand inside the bar, so that they do not lengthen it.
    half = 0.06
    for tick in ticks:
        place = min(max(x + tick, x + half), x + length - half)
        line = path.polyline([(place, y), (place, y + _TICK_MM)])
        bar.append(Shape(line, stroke=Stroke(width_mm=2.0 * half)))
    return bar
