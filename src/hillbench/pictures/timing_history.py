"""Values over the months, such as each outing's typical time, each with its interval."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from hillbench.pictures import drawing
from hillbench.pictures.drawing import ROOMY_PX, WIDE_PX
from hillbench.pictures.labels import text_width_px, without_overlap
from hillbench.pictures.scale import Scale, nice_ticks, tick_figure

_LEFT_PX: Final = 62.0
_RIGHT_PX: Final = 18.0
_TOP_PX: Final = 30.0
_PANEL_PX: Final = 190.0
_BELOW_PX: Final = 30.0
_BAR_PX: Final = 9.0
_LINE_PX: Final = 16.0
_LONGEST_NAME: Final = 18
_LEAST_REACH: Final = 0.02


@dataclass(frozen=True, slots=True)
class HistoryPoint:
    """What one outing says.

    Attributes
    ----------
    at
        When it was.
    low, middle, high
        The value and its 90 % interval; low and high are None where there is none.
    series
        What it belongs to, such as a car; points of one series are joined.
    when
        The time in words; the day where empty.
    """

    at: datetime
    low: float | None
    middle: float
    high: float | None
    series: str = ""
    when: str = ""


def history_picture(
    points: Sequence[HistoryPoint],
    title: str,
    sentence: str,
    *,
    unit: str = "s",
    width_px: int = WIDE_PX,
    key: str = "history",
    standalone: bool = False,
) -> str:
    """Return values over time as SVG.

    Parameters
    ----------
    points
        In order of time, at least one.
    title
        What is shown, with its unit; stands above the picture.
    sentence
        What it says, for those who do not see it.
    unit
        Unit of the value.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    standalone
        Whether it is to be a file of its own.
    """
    x = _time_scale(points, width_px)
    y = _value_scale(points)
    marks = [drawing.words(4.0, 14.0, title, "words-strong")]
    marks += _levels(y, width_px, unit)
    marks += _days(points, x)
    series = dict.fromkeys(point.series for point in points)
    for name in series:
        own = [point for point in points if point.series == name]
        line = [(x(point.at.timestamp()), y(point.middle)) for point in own]
        marks.append(drawing.polyline(line, "line-before"))
        for point in own:
            marks += _point_marks(point, x(point.at.timestamp()), y)
    if len(series) > 1:
        marks += _names(points, list(series), x, y)
    size = (width_px, _TOP_PX + _PANEL_PX + _BELOW_PX)
    return drawing.picture(key, title, sentence, size, marks, standalone=standalone)


def _time_scale(points: Sequence[HistoryPoint], width_px: int) -> Scale:
    first, last = points[0].at.timestamp(), points[-1].at.timestamp()
    room = max(0.06 * (last - first), timedelta(hours=12).total_seconds())
    names = {point.series for point in points}
    longest = max(text_width_px(name[:_LONGEST_NAME]) for name in names) + 14.0
    beside = longest if len(names) > 1 else 0.0
    return Scale(first - room, last + room, _LEFT_PX, width_px - _RIGHT_PX - beside)


def _value_scale(points: Sequence[HistoryPoint]) -> Scale:
    values = [
        value
        for point in points
        for value in (point.low, point.middle, point.high)
        if value is not None
    ]
    low, high = min(values), max(values)
    room = max(0.08 * (high - low), _LEAST_REACH / 2.0 if high - low < _LEAST_REACH else 0.0)
    return Scale(low - room, high + room, _TOP_PX + _PANEL_PX, _TOP_PX)


def _levels(y: Scale, width_px: int, unit: str) -> list[drawing.Mark]:
    marks: list[drawing.Mark] = []
    ticks = nice_ticks(y.low, y.high, 5)
    step = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
    for tick in ticks:
        height = y(tick)
        marks.append(drawing.line((_LEFT_PX, height), (width_px - _RIGHT_PX, height), "rule"))
        text = f"{tick_figure(tick, step)} {unit}"
        marks.append(drawing.words(_LEFT_PX - 8.0, height + 4.0, text, "words-quiet", anchor="end"))
    return marks


def _days(points: Sequence[HistoryPoint], x: Scale) -> list[drawing.Mark]:
    """Return the days below the panel; of days that would touch, the later ones are left out."""
    roomy = x.high_px >= ROOMY_PX
    words = [point.when or _day(point.at, with_year=roomy) for point in points]
    centres = [x(point.at.timestamp()) for point in points]
    # First and last stand in any case.
    order = [0, len(points) - 1, *range(1, len(points) - 1)] if len(points) > 1 else [0]
    kept = without_overlap(
        [centres[place] for place in order], [text_width_px(words[place], 12.0) for place in order]
    )
    base = _TOP_PX + _PANEL_PX
    return [
        drawing.words(centres[place], base + 20.0, words[place], "words-quiet", anchor="middle")
        for place in (order[index] for index in kept)
    ]


def _day(at: datetime, *, with_year: bool) -> str:
    local = at.astimezone()
    day = f"{local.day} {local:%b}"
    return f"{day} {local.year}" if with_year else day


def _point_marks(point: HistoryPoint, at_px: float, y: Scale) -> list[drawing.Mark]:
    marks: list[drawing.Mark] = []
    if point.low is not None and point.high is not None:
        top, bottom = y(point.high), y(point.low)
        data = {"mark": "outing", "middle": f"{point.middle:.6g}"}
        left, width = at_px - _BAR_PX, 2.0 * _BAR_PX
        marks.append(drawing.box(left, top, width, bottom - top, "gained", data=data))
    level = y(point.middle)
    reach = _BAR_PX + 3.0
    marks.append(drawing.line((at_px - reach, level), (at_px + reach, level), "line-accent"))
    return marks


def _names(
    points: Sequence[HistoryPoint], names: Sequence[str], x: Scale, y: Scale
) -> list[drawing.Mark]:
    """Return the names of series beside their last points, moved apart where they would touch."""
    last = {point.series: point for point in points}
    wanted = sorted((y(last[name].middle), name) for name in names)
    marks: list[drawing.Mark] = []
    free = _TOP_PX
    for level, name in wanted:
        base = max(level + 4.0, free)
        free = base + _LINE_PX
        label = name if len(name) <= _LONGEST_NAME else f"{name[: _LONGEST_NAME - 1]}…"
        at = x(last[name].at.timestamp()) + _BAR_PX + 8.0
        marks.append(drawing.words(at, base, label, "words", "halo"))
    return marks
