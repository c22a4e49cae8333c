"""What was believed of each unknown before the readings, and what is known after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.pictures import drawing
from hillbench.pictures.drawing import ROOMY_PX, WIDE_PX
from hillbench.pictures.scale import Scale, short_figure

_TOP_PX: Final = 34.0
_ROW_PX: Final = 30.0
_NARROW_ROW_PX: Final = 46.0
_WORDS_PX: Final = 330.0
_FIGURES_PX: Final = 190.0


@dataclass(frozen=True, slots=True)
class PosteriorRow:
    """One unknown; each interval holds 90 %.

    Attributes
    ----------
    words
        What it is, in words.
    unit
        Its unit, as it is shown.
    before, after
        5, 50 and 95 % points before and after the readings.
    known
        Whether the readings tell more than half of it.
    """

    words: str
    unit: str
    before: tuple[float, float, float]
    after: tuple[float, float, float]
    known: bool


def posterior_picture(
    rows: Sequence[PosteriorRow],
    *,
    width_px: int = WIDE_PX,
    key: str = "posterior",
    standalone: bool = False,
) -> str:
    """Return what is known of each unknown, before and after, as SVG.

    Parameters
    ----------
    rows
        The unknowns, in the order shown.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    standalone
        Whether it is to be a file of its own.
    """
    roomy = width_px >= ROOMY_PX
    row_px = _ROW_PX if roomy else _NARROW_ROW_PX
    marks = [
        drawing.box(4.0, 12.0, 22.0, 6.0, "bend"),
        drawing.words(32.0, 19.0, "believed before", "words-quiet"),
        drawing.box(150.0, 10.0, 22.0, 10.0, "fill-accent"),
        drawing.words(178.0, 19.0, "known after, 90 %", "words-quiet"),
    ]
    for number, row in enumerate(rows):
        marks += _row_marks(row, _TOP_PX + number * row_px, width_px, roomy)
    height = _TOP_PX + len(rows) * row_px + 10.0
    title = "Before and after the readings"
    sentence = posterior_sentence(rows)
    return drawing.picture(key, title, sentence, (width_px, height), marks, standalone=standalone)


def posterior_sentence(rows: Sequence[PosteriorRow]) -> str:
    """Return which unknowns the readings tell, in words."""
    known = [row.words for row in rows if row.known]
    if not rows:
        return "There is nothing to be known."
    if not known:
        return "The readings tell little more than was believed before."
    return f"The readings tell {len(known)} of {len(rows)} unknowns: {', '.join(known)}."


def _row_marks(row: PosteriorRow, top: float, width_px: int, roomy: bool) -> list[drawing.Mark]:
    left, right = (_WORDS_PX, width_px - _FIGURES_PX) if roomy else (4.0, width_px - 8.0)
    low = min(row.before[0], row.after[0])
    high = max(row.before[2], row.after[2])
    x = Scale(low, high if high > low else low + 1.0, left, right)
    middle = top + (15.0 if roomy else 32.0)
    figures = (
        f"{short_figure(row.after[1])} ({short_figure(row.after[0])} to "
        f"{short_figure(row.after[2])}) {row.unit}"
    ).rstrip()
    after = "fill-accent" if row.known else "fill-muted"
    text_y = middle + 4.0 if roomy else top + 16.0
    return [
        drawing.words(4.0, text_y, row.words, "words" if row.known else "words-quiet"),
        drawing.words(width_px - 6.0, text_y, figures, "words-quiet", anchor="end"),
        _bar(x, row.before, middle, 6.0, "bend", "before"),
        _bar(x, row.after, middle, 10.0, after, "after"),
        drawing.dot(x(row.after[1]), middle),
    ]


def _bar(
    x: Scale,
    points: tuple[float, float, float],
    middle: float,
    height: float,
    style: str,
    name: str,
) -> drawing.Mark:
    low, high = x(points[0]), x(points[2])
    data = {"mark": name, "low": f"{points[0]:.6g}", "high": f"{points[2]:.6g}"}
    return drawing.box(low, middle - height / 2.0, max(high - low, 2.0), height, style, data=data)
