"""Rows of a value with its interval on one scale about zero."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.pictures import drawing
from hillbench.pictures.drawing import ROOMY_PX
from hillbench.pictures.labels import wrapped
from hillbench.pictures.scale import Scale, nice_ticks, tick_figure

_TOP_PX: Final = 34.0
_BAR_PX: Final = 10.0
_LINE_PX: Final = 16.0
_WORDS_SHARE: Final = 0.42


@dataclass(frozen=True, slots=True)
class IntervalRow:
    """One row.

    Attributes
    ----------
    words
        What it is.
    low, middle, high
        The value and its interval.
    style
        Style class of its bar.
    figures
        The value as it is told at the end of the row.
    """

    words: str
    low: float
    middle: float
    high: float
    style: str
    figures: str


def interval_marks(
    rows: Sequence[IntervalRow], title: str, width_px: int
) -> tuple[list[drawing.Mark], float]:
    """Return the marks of all rows and the height they take, px.

    Parameters
    ----------
    rows
        The rows, from the top.
    title
        What the scale shows, with its unit.
    width_px
        Width of the picture.
    """
    roomy = width_px >= ROOMY_PX
    left = _WORDS_SHARE * width_px if roomy else 8.0
    room = left - 14.0 if roomy else width_px - 100.0
    lines = [wrapped(row.words, room, 13.0) for row in rows]
    heights = [max(len(text), 1) * _LINE_PX + (14.0 if roomy else 30.0) for text in lines]
    low = min([0.0, *(row.low for row in rows)])
    high = max([0.0, *(row.high for row in rows)])
    x = Scale(low, high if high > low else low + 1.0, left, width_px - (86.0 if roomy else 12.0))
    bottom = _TOP_PX + sum(heights)
    marks = [drawing.words(4.0, 18.0, title, "words-strong"), *_ticks(x, bottom)]
    top = _TOP_PX
    for row, text, height in zip(rows, lines, heights, strict=True):
        marks += _row_marks(row, text, top, x, width_px, roomy)
        top += height
    return marks, bottom + 26.0


def _ticks(x: Scale, bottom: float) -> list[drawing.Mark]:
    ticks = next(
        (found for most in (4, 6) if len(found := nice_ticks(x.low, x.high, most)) > 2),
        nice_ticks(x.low, x.high, 8),
    )
    step = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
    marks = []
    for tick in ticks:
        style = "axis" if abs(tick) < step * 1e-6 else "rule"
        marks.append(drawing.line((x(tick), _TOP_PX - 8.0), (x(tick), bottom), style))
        marks.append(
            drawing.words(
                x(tick), bottom + 16.0, tick_figure(tick, step), "words-quiet", anchor="middle"
            )
        )
    return marks


def _row_marks(
    row: IntervalRow, text: Sequence[str], top: float, x: Scale, width_px: int, roomy: bool
) -> list[drawing.Mark]:
    words_px = max(len(text), 1) * _LINE_PX
    middle = top + (words_px / 2.0 + 3.0 if roomy else words_px + 10.0)
    low, high = x(row.low), x(row.high)
    data = {"mark": "interval", "low": f"{row.low:.6g}", "high": f"{row.high:.6g}"}
    bar = drawing.box(
        low, middle - _BAR_PX / 2.0, max(high - low, 2.0), _BAR_PX, row.style, data=data
    )
    figures_y = middle + 4.0 if roomy else top + 13.0
    return [
        *(
            drawing.words(4.0, top + 13.0 + number * _LINE_PX, line)
            for number, line in enumerate(text)
        ),
        drawing.words(width_px - 4.0, figures_y, row.figures, "words-quiet", anchor="end"),
        bar,
        drawing.dot(x(row.middle), middle),
    ]
