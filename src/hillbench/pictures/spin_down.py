"""Bearing friction of each wheel, round after round of work on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from hillbench.pictures import drawing
from hillbench.pictures.drawing import ROOMY_PX, WIDE_PX
from hillbench.pictures.labels import wrapped
from hillbench.pictures.scale import Scale, nice_ticks, short_figure, tick_figure

Says = Literal["on", "stop", "worse", "open"]
"""What follows for a wheel: go on, stop here, clean it, or not known yet."""

_STYLES: Final = {
    "on": "words-accent",
    "stop": "words-strong",
    "worse": "words-warning",
    "open": "words-quiet",
}
_TOP_PX: Final = 30.0
_LINE_PX: Final = 18.0
_ROW_PX: Final = 24.0
_GAP_PX: Final = 16.0
_BAR_PX: Final = 10.0
_FIGURES_PX: Final = 62.0


@dataclass(frozen=True, slots=True)
class SpinRow:
    """One wheel in one round.

    Attributes
    ----------
    name
        The round, in words.
    low, middle, high
        Bearing friction with the 90 % interval by which rounds are compared.
    """

    name: str
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class SpinWheel:
    """One wheel with all its rounds.

    Attributes
    ----------
    name
        Which wheel.
    says
        What follows.
    words
        The same in words, with figures.
    rows
        Its rounds, earliest first.
    """

    name: str
    says: Says
    words: str
    rows: tuple[SpinRow, ...]


def spin_down_picture(
    wheels: Sequence[SpinWheel],
    sentence: str,
    *,
    width_px: int = WIDE_PX,
    key: str = "spins",
    standalone: bool = False,
) -> str:
    """Return the friction of each wheel in each round as SVG.

    Parameters
    ----------
    wheels
        The wheels that were spun, in the order shown.
    sentence
        What follows from all, in words.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    standalone
        Whether it is to be a file of its own.
    """
    roomy = width_px >= ROOMY_PX
    names_px = 190.0 if roomy else 118.0
    most = max((row.high for wheel in wheels for row in wheel.rows), default=1.0)
    x = Scale(0.0, most, names_px, width_px - _FIGURES_PX)
    marks: list[drawing.Mark] = []
    top = _TOP_PX
    for wheel in wheels:
        made, top = _wheel_marks(wheel, top, x, width_px)
        marks += made
    figures = _figures(x, top - _GAP_PX)
    title = drawing.words(4.0, 18.0, "Bearing friction, less is better", "words-quiet")
    description = " ".join([sentence, *(f"{one.name}: {one.words}." for one in wheels)])
    size = (width_px, top + 26.0)
    every = [title, *marks, *figures]
    heading = "Friction of each wheel after each round"
    return drawing.picture(key, heading, description, size, every, standalone=standalone)


def _wheel_marks(
    wheel: SpinWheel, top: float, x: Scale, width_px: int
) -> tuple[list[drawing.Mark], float]:
    lines = wrapped(f"{wheel.name}: {wheel.words}", width_px - 8.0, 14.0)
    marks = [
        drawing.words(4.0, top + 14.0 + number * _LINE_PX, line, _STYLES[wheel.says], "halo")
        for number, line in enumerate(lines)
    ]
    first = top + len(lines) * _LINE_PX + 4.0
    bottom = first + len(wheel.rows) * _ROW_PX
    marks += _rules(x, first, bottom)
    middles = [first + (place + 0.5) * _ROW_PX for place in range(len(wheel.rows))]
    places = [(x(row.middle), y) for row, y in zip(wheel.rows, middles, strict=True)]
    if len(places) > 1:
        marks.append(drawing.polyline(places, "line-before"))
    for row, y in zip(wheel.rows, middles, strict=True):
        marks += _row_marks(row, y, x, width_px, last=row is wheel.rows[-1], says=wheel.says)
    return marks, bottom + _GAP_PX


def _row_marks(
    row: SpinRow, y: float, x: Scale, width_px: int, *, last: bool, says: Says
) -> list[drawing.Mark]:
    style = "fill-muted"
    if last:
        style = "warning" if says == "worse" else "fill-accent"
    data = {"mark": "friction", "low": f"{row.low:.6g}", "high": f"{row.high:.6g}"}
    low, high = x(row.low), x(row.high)
    bar = drawing.box(low, y - _BAR_PX / 2.0, max(high - low, 2.0), _BAR_PX, style, data=data)
    return [
        drawing.words(14.0, y + 4.0, row.name, "words" if last else "words-quiet"),
        drawing.words(width_px - 4.0, y + 4.0, short_figure(row.middle, 2), "words", anchor="end"),
        bar,
        drawing.dot(x(row.middle), y),
    ]


def _rules(x: Scale, top: float, bottom: float) -> list[drawing.Mark]:
    return [
        drawing.line((x(tick), top), (x(tick), bottom), "axis" if tick == 0.0 else "rule")
        for tick in nice_ticks(0.0, x.high, 4)
    ]


def _figures(x: Scale, bottom: float) -> list[drawing.Mark]:
    ticks = nice_ticks(0.0, x.high, 4)
    step = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
    return [
        drawing.words(
            x(tick), bottom + 16.0, tick_figure(tick, step), "words-quiet", anchor="middle"
        )
        for tick in ticks
    ]
