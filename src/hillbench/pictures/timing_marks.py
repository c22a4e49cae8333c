"""Marks of timed runs: a car's row of dots, a difference with its interval, the axis."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.pictures import drawing
from hillbench.pictures.scale import Scale, figure, nice_ticks, tick_figure

SIDE_PX: Final = 16.0
_ROOMY_PX: Final = 600
_APART_PX: Final = 8.0
_LIFTS: Final = (0.0, 7.0, -7.0)


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


def axis_marks(x: Scale, top_px: float, bottom_px: float, unit: str) -> list[drawing.Mark]:
    """Return level lines across, and their figures below."""
    marks = []
    ticks = nice_ticks(x.low, x.high, max(2, int((x.high_px - x.low_px) / 90.0)))
    step = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
    for tick in ticks:
        at = x(tick)
        marks.append(drawing.line((at, top_px), (at, bottom_px), "rule"))
        text = f"{tick_figure(tick, step)} {unit}"
        marks.append(drawing.words(at, bottom_px + 15.0, text, "words-quiet", anchor="middle"))
    return marks


def row_marks(row: Row, x: Scale, y: float) -> list[drawing.Mark]:
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
    for (time_s, odd), lift in zip(
        row.runs, _lifts([x(time) for time, _ in row.runs]), strict=True
    ):
        if odd:
            marks += drawing.cross(x(time_s), y + lift, 5.0)
        else:
            marks.append(drawing.dot(x(time_s), y + lift))
    return marks


def _lifts(places_px: Sequence[float]) -> list[float]:
    """Return how far each dot is moved up or down so that it does not hide one before it."""
    lifts: list[float] = []
    for index, place in enumerate(places_px):
        taken = {
            lift
            for other, lift in zip(places_px[:index], lifts, strict=True)
            if abs(other - place) < _APART_PX
        }
        lifts.append(next((lift for lift in _LIFTS if lift not in taken), 0.0))
    return lifts


def interval_marks(interval: Interval, width_px: int, top_px: float) -> list[drawing.Mark]:
    """Return the difference as a bar about 0, with what does not matter shaded."""
    ends = (abs(interval.low_s), abs(interval.high_s), 1.2 * interval.matters_s)
    reach = 1.15 * max(*ends, 1e-4)
    x = Scale(-reach, reach, SIDE_PX, width_px - SIDE_PX)
    line = top_px + 44.0
    marks: list[drawing.Mark] = [
        drawing.words(x.low_px, top_px + 10.0, f"← {interval.below}", "words"),
        drawing.words(x.high_px, top_px + 10.0, f"{interval.above} →", "words", anchor="end"),
    ]
    near = x.px_per_unit * interval.matters_s
    marks.append(drawing.box(x(0.0) - near, top_px + 20.0, 2.0 * near, 44.0, "bend"))
    if width_px >= _ROOMY_PX:
        text = f"shaded: less than {interval.matters_s:.3g} s, too little to matter"
        marks.append(drawing.words(x(0.0), top_px + 10.0, text, "words-quiet", anchor="middle"))
    marks += axis_marks(x, top_px + 20.0, top_px + 64.0, "s")
    marks.append(drawing.line((x(0.0), top_px + 20.0), (x(0.0), top_px + 64.0), "axis"))
    left, right = x(interval.low_s), x(interval.high_s)
    data = {"mark": "interval", "low-s": interval.low_s, "high-s": interval.high_s}
    marks.append(drawing.line((left, line), (right, line), "line-accent", data=data))
    marks += [
        drawing.line((end, line - 7.0), (end, line + 7.0), "line-accent") for end in (left, right)
    ]
    marks.append(drawing.dot(x(interval.middle_s), line, "fill-accent", radius=5.0))
    return marks
