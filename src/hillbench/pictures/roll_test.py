"""Where a car ended beside its line, roll by roll, and the path it makes by itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.pictures import drawing
from hillbench.pictures.drawing import ROOMY_PX, WIDE_PX
from hillbench.pictures.length_unit import METRE, LengthUnit
from hillbench.pictures.scale import Scale, nice_ticks, tick_figure

_TOP_PX: Final = 34.0
_HEIGHT_PX: Final = 190.0
_LEFT_PX: Final = 62.0
_POINTS: Final = 40


@dataclass(frozen=True, slots=True)
class RollDot:
    """Where one roll ended.

    Attributes
    ----------
    length_m
        Along the line, m.
    drift_mm
        Beside it, mm, positive to the left.
    tail_first, back
        How it rolled.
    """

    length_m: float
    drift_mm: float
    tail_first: bool
    back: bool


@dataclass(frozen=True, slots=True)
class SmallUnit:
    """A unit of length across the line: its symbol and how many of it are one millimetre."""

    symbol: str = "mm"
    per_mm: float = 1.0


def roll_test_picture(
    rolls: Sequence[RollDot],
    curvature_1_m: float,
    sentence: str,
    *,
    along: LengthUnit = METRE,
    across: SmallUnit = SmallUnit(),
    width_px: int = WIDE_PX,
    key: str = "rolls",
    standalone: bool = False,
) -> str:
    """Return the rolls of a car as SVG.

    Parameters
    ----------
    rolls
        Where each ended.
    curvature_1_m
        Curvature of the path that the car makes nose first on a level floor, 1/m, positive to
        the left.
    sentence
        What follows, in words.
    along, across
        Units of the two scales.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    standalone
        Whether it is to be a file of its own.
    """
    length_m = max(roll.length_m for roll in rolls)
    path = _path(curvature_1_m, length_m)
    drifts = [0.0, *(roll.drift_mm for roll in rolls), *(drift for _, drift in path)]
    reach = 1.15 * max(1.0, *(abs(drift) for drift in drifts))
    low = -reach if min(drifts) < 0.0 else -0.12 * reach
    high = reach if max(drifts) > 0.0 else 0.12 * reach
    x = Scale(0.0, length_m, _LEFT_PX, width_px - 26.0)
    y = Scale(low, high, _TOP_PX + _HEIGHT_PX, _TOP_PX)
    marks = [
        *_frame(x, y, along, across),
        drawing.polyline([(x(at), y(drift)) for at, drift in path], "line-accent"),
        *(mark for roll in rolls for mark in _dot(roll, x, y)),
        *_legend(rolls, width_px),
    ]
    size = (width_px, _TOP_PX + _HEIGHT_PX + 66.0)
    return drawing.picture(
        key, "Where the car ended beside its line", sentence, size, marks, standalone=standalone
    )


def _path(curvature_1_m: float, length_m: float) -> list[tuple[float, float]]:
    steps = [length_m * step / _POINTS for step in range(_POINTS + 1)]
    return [(at, 1e3 * curvature_1_m * at**2 / 2.0) for at in steps]


def _frame(x: Scale, y: Scale, along: LengthUnit, across: SmallUnit) -> list[drawing.Mark]:
    bottom = _TOP_PX + _HEIGHT_PX
    title = f"Left of the line, {across.symbol}; the scale across is stretched"
    marks: list[drawing.Mark] = [drawing.words(4.0, 16.0, title, "words-quiet")]
    ticks = nice_ticks(y.low * across.per_mm, y.high * across.per_mm, 5)
    step = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
    for tick in ticks:
        height = y(tick / across.per_mm)
        style = "axis" if abs(tick) < step * 1e-6 else "rule"
        marks.append(drawing.line((x.low_px, height), (x.high_px, height), style))
        words = tick_figure(tick, step)
        marks.append(
            drawing.words(x.low_px - 8.0, height + 4.0, words, "words-quiet", anchor="end")
        )
    ticks_along = along.ticks(0.0, x.high, 5)
    for at, words in ticks_along:
        marks.append(drawing.line((x(at), bottom), (x(at), bottom + 5.0), "axis"))
        told = f"{words} {along.symbol}" if at == ticks_along[-1][0] else words
        marks.append(drawing.words(x(at), bottom + 20.0, told, "words-quiet", anchor="middle"))
    return marks


def _dot(roll: RollDot, x: Scale, y: Scale) -> list[drawing.Mark]:
    """Return the mark of one roll: round for nose first, a square for tail first."""
    px, py = x(roll.length_m), y(roll.drift_mm)
    # Rolls on the way back stand a little before the others, so that none hides another.
    px -= 12.0 if roll.back else 0.0
    data = {"mark": "roll", "drift": f"{roll.drift_mm:.6g}"}
    if roll.tail_first:
        return [drawing.box(px - 4.0, py - 4.0, 8.0, 8.0, _style(roll), data=data)]
    return [drawing.group([drawing.dot(px, py, _style(roll), radius=4.5)], data=data)]


def _style(roll: RollDot) -> str:
    return "fill-start" if roll.back else "fill-bearings"


def _legend(rolls: Sequence[RollDot], width_px: int) -> list[drawing.Mark]:
    """Return what each mark that is there means, and the line."""
    told = [
        (RollDot(0.0, 0.0, tail_first, back), f"{ends}, {way}")
        for tail_first, ends in ((False, "nose first"), (True, "tail first"))
        for back, way in ((False, "there"), (True, "back"))
        if any((roll.tail_first, roll.back) == (tail_first, back) for roll in rolls)
    ]
    bottom = _TOP_PX + _HEIGHT_PX + 54.0
    wide = width_px >= ROOMY_PX
    each = (width_px - 8.0) / (4.0 if wide else 2.0)
    marks: list[drawing.Mark] = []
    for place, (roll, words) in enumerate(told):
        left = 8.0 + (place % (4 if wide else 2)) * each
        height = bottom - 4.0 if wide or place > 1 else bottom - 22.0
        if roll.tail_first:
            marks.append(drawing.box(left - 4.0, height - 4.0, 8.0, 8.0, _style(roll)))
        else:
            marks.append(drawing.dot(left, height, _style(roll), radius=4.5))
        marks.append(drawing.words(left + 10.0, height + 4.0, words, "words-quiet"))
    return marks
