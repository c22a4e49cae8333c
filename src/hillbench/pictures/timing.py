"""Timed runs: each run a dot, each car's typical time with its interval, the gap below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.pictures import drawing
from hillbench.pictures.drawing import WIDE_PX
from hillbench.pictures.scale import Scale, figure, nice_ticks, tick_figure
from hillbench.timing.comparison import Comparison, OddRun
from hillbench.timing.gain import Gain
from hillbench.timing.run import TimedRun

_ROW_PX: Final = 46.0
_TOP_PX: Final = 18.0
_SIDE_PX: Final = 16.0
_AXIS_PX: Final = 34.0
_GAP_PX: Final = 92.0
_MOST_DOTS: Final = 400


@dataclass(frozen=True, slots=True)
class Row:
    """One car's row: its runs, and its typical time with a 90 % interval where there is one."""

    car: str
    runs: tuple[tuple[float, bool], ...]
    low_s: float | None = None
    typical_s: float | None = None
    high_s: float | None = None


@dataclass(frozen=True, slots=True)
class Interval:
    """A difference with its 90 % interval, and what is said at its ends.

    Attributes
    ----------
    low_s, middle_s, high_s
        The interval and its middle.
    matters_s
        Difference below which nobody cares.
    below, above
        Words for differences below and above 0.
    """

    low_s: float
    middle_s: float
    high_s: float
    matters_s: float
    below: str
    above: str


def comparison_of_times(
    comparison: Comparison,
    runs: Sequence[TimedRun],
    sentence: str,
    *,
    width_px: int = WIDE_PX,
    key: str = "times",
    standalone: bool = False,
) -> str:
    """Return the runs of all cars, and of two cars the gap with its interval, as SVG.

    Parameters
    ----------
    comparison
        The answer.
    runs
        The runs it was made from, in the same order.
    sentence
        The answer in words, for those who do not see the picture.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    standalone
        Whether it is to be a file of its own.
    """
    rows = [
        Row(
            car.car,
            _dots(runs, car.car, comparison.odd_runs),
            car.typical_low_s,
            car.typical_time_s,
            car.typical_high_s,
        )
        for car in comparison.ranking()
    ]
    interval = None
    if len(comparison.pairs) == 1:
        pair = comparison.pairs[0]
        interval = Interval(
            pair.gap_low_s,
            pair.gap_s,
            pair.gap_high_s,
            comparison.matters_s,
            f"{pair.second} faster",
            f"{pair.first} faster",
        )
    return _picture(rows, interval, sentence, width_px, key, standalone=standalone)


def gain_of_change(
    gain: Gain,
    runs: Sequence[TimedRun],
    names: tuple[str, str],
    sentence: str,
    *,
    width_px: int = WIDE_PX,
    key: str = "gain",
    standalone: bool = False,
) -> str:
    """Return the runs before and after a change, and what it gained, as SVG.

    Parameters
    ----------
    gain
        The answer.
    runs
        The runs it was made from, in the same order.
    names
        Names of the car before and after; other cars stand below them.
    sentence, width_px, key, standalone
        As in `comparison_of_times`.
    """
    others = [car for car in dict.fromkeys(run.car for run in runs) if car not in names]
    rows = [Row(car, _dots(runs, car, gain.odd_runs)) for car in (*names, *others)]
    interval = Interval(
        gain.gain_low_s, gain.gain_s, gain.gain_high_s, gain.matters_s, "lost", "gained"
    )
    rows = [row for row in rows if row.runs]
    return _picture(rows, interval, sentence, width_px, key, standalone=standalone)


def _dots(
    runs: Sequence[TimedRun], car: str, odd: Sequence[OddRun]
) -> tuple[tuple[float, bool], ...]:
    """Return the times of a car, and whether each is odd; the last ones if they are many."""
    places = {run.place for run in odd}
    return tuple(
        (run.time_s, place in places)
        for place, run in enumerate(runs)
        if run.car == car and run.time_s is not None
    )[-_MOST_DOTS:]


def _picture(
    rows: Sequence[Row],
    interval: Interval | None,
    sentence: str,
    width_px: int,
    key: str,
    *,
    standalone: bool,
) -> str:
    times = [time for row in rows for time, _ in row.runs]
    low, high = min(times), max(times)
    room = 0.06 * max(high - low, 0.02)
    x = Scale(low - room, high + room, _SIDE_PX, width_px - _SIDE_PX)
    marks: list[drawing.Mark] = []
    bottom = _TOP_PX + _ROW_PX * len(rows)
    marks += _axis(x, _TOP_PX, bottom, "s")
    for place, row in enumerate(rows):
        marks += _row_marks(row, x, _TOP_PX + _ROW_PX * (place + 1) - 12.0)
    bottom += _AXIS_PX
    if interval is not None:
        marks += _interval_marks(interval, width_px, bottom)
        bottom += _GAP_PX
    return drawing.picture(
        key, "Times of each run", sentence, (width_px, bottom), marks, standalone=standalone
    )


def _axis(x: Scale, top_px: float, bottom_px: float, unit: str) -> list[drawing.Mark]:
    marks = []
    ticks = nice_ticks(x.low, x.high, max(2, int((x.high_px - x.low_px) / 90.0)))
    step = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
    for tick in ticks:
        at = x(tick)
        marks.append(drawing.line((at, top_px), (at, bottom_px), "rule"))
        text = f"{tick_figure(tick, step)} {unit}"
        marks.append(drawing.words(at, bottom_px + 15.0, text, "words-quiet", anchor="middle"))
    return marks


def _row_marks(row: Row, x: Scale, y: float) -> list[drawing.Mark]:
    """Return a car's name, its interval as a bar with a mark at the typical time, its dots."""
    label = row.car if len(row.car) <= 40 else f"{row.car[:39]}…"
    marks: list[drawing.Mark] = [drawing.words(x.low_px, y - 14.0, label, "words-strong", "halo")]
    if row.low_s is not None and row.high_s is not None and row.typical_s is not None:
        left, right = max(x(row.low_s), x.low_px), min(x(row.high_s), x.high_px)
        data = {"mark": "typical", "car": row.car}
        marks.append(drawing.box(left, y - 8.0, right - left, 16.0, "gained", data=data))
        at = x(row.typical_s)
        marks.append(drawing.line((at, y - 11.0), (at, y + 11.0), "line-accent"))
        text = f"{figure(row.typical_s, 3)} s"
        marks.append(drawing.words(x.high_px, y - 14.0, text, "words-accent", "halo", anchor="end"))
    for time_s, odd in row.runs:
        if odd:
            marks += drawing.cross(x(time_s), y, 5.0)
        else:
            marks.append(drawing.dot(x(time_s), y))
    return marks


def _interval_marks(interval: Interval, width_px: int, top_px: float) -> list[drawing.Mark]:
    """Return the difference as a bar about 0, with what does not matter shaded."""
    ends = (abs(interval.low_s), abs(interval.high_s), 1.2 * interval.matters_s)
    reach = 1.15 * max(*ends, 1e-4)
    x = Scale(-reach, reach, _SIDE_PX, width_px - _SIDE_PX)
    line = top_px + 44.0
    marks: list[drawing.Mark] = [
        drawing.words(x.low_px, top_px + 10.0, f"← {interval.below}", "words"),
        drawing.words(x.high_px, top_px + 10.0, f"{interval.above} →", "words", anchor="end"),
    ]
    near = x.px_per_unit * interval.matters_s
    marks.append(drawing.box(x(0.0) - near, top_px + 20.0, 2.0 * near, 44.0, "bend"))
    marks += _axis(x, top_px + 20.0, top_px + 64.0, "s")
    marks.append(drawing.line((x(0.0), top_px + 20.0), (x(0.0), top_px + 64.0), "axis"))
    left, right = x(interval.low_s), x(interval.high_s)
    data = {"mark": "interval", "low-s": interval.low_s, "high-s": interval.high_s}
    marks.append(drawing.line((left, line), (right, line), "line-accent", data=data))
    marks += [
        drawing.line((end, line - 7.0), (end, line + 7.0), "line-accent") for end in (left, right)
    ]
    marks.append(drawing.dot(x(interval.middle_s), line, "fill-accent", radius=5.0))
    return marks
