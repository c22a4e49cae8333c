"""Timed runs: each run a dot, each car's typical time with its interval, the gap below."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Final

from hillbench.pictures import drawing
from hillbench.pictures.drawing import WIDE_PX
from hillbench.pictures.scale import Scale
from hillbench.pictures.timing_marks import (
    SIDE_PX,
    Interval,
    Row,
    axis_marks,
    interval_marks,
    row_marks,
)
from hillbench.timing.comparison import Comparison, OddRun
from hillbench.timing.gain import Gain
from hillbench.timing.run import TimedRun

_ROW_PX: Final = 46.0
_TOP_PX: Final = 18.0
_AXIS_PX: Final = 34.0
_GAP_PX: Final = 92.0
_MOST_DOTS: Final = 400


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
    typical_s: Mapping[str, tuple[float, float, float]] | None = None,
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
    typical_s
        Lower end, middle and upper end of the typical time of each name; None for no bars.
    sentence, width_px, key, standalone
        As in `comparison_of_times`.
    """
    others = [car for car in dict.fromkeys(run.car for run in runs) if car not in names]
    bars = typical_s or {}
    rows = [
        Row(car, _dots(runs, car, gain.odd_runs), *bars.get(car, (None, None, None)))
        for car in (*names, *others)
    ]
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
    ends = [end for row in rows for end in (row.low_s, row.high_s) if end is not None]
    low, high = min(*times, *ends), max(*times, *ends)
    room = 0.06 * max(high - low, 0.02)
    x = Scale(low - room, high + room, SIDE_PX, width_px - SIDE_PX)
    top = _TOP_PX
    marks: list[drawing.Mark] = []
    if standalone:
        # In a page the sentence stands beside the picture; a file has to carry it.
        for line in textwrap.wrap(sentence, max(20, width_px // 8)):
            marks.append(drawing.words(SIDE_PX, top + 12.0, line, "words-strong"))
            top += 20.0
        top += 8.0
    bottom = top + _ROW_PX * len(rows)
    marks += axis_marks(x, top, bottom, "s")
    for place, row in enumerate(rows):
        marks += row_marks(row, x, top + _ROW_PX * (place + 1) - 12.0)
    bottom += _AXIS_PX
    if interval is not None:
        marks += interval_marks(interval, width_px, bottom)
        bottom += _GAP_PX
    return drawing.picture(
        key, "Times of each run", sentence, (width_px, bottom), marks, standalone=standalone
    )
