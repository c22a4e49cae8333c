"""Times before and after as bars with their intervals, on one scale for each track."""

from __future__ import annotations

from typing import Final

from hillbench.sheets import path
from hillbench.sheets.build_content import Interval, TrackTimes
from hillbench.sheets.colour import Rgb
from hillbench.sheets.drawing import Mark, Shape, Stroke, Words
from hillbench.sheets.flow import ACCENT, BEFORE, INK, LEADING, MUTED, Block, paragraph
from hillbench.sheets.font import width_mm

_LABEL: Final = 3.4
"""Width of "before" and "after", in sizes of the type."""


def time_bars(times: TrackTimes, room_mm: float, size_mm: float) -> list[Block]:
    """Return the times on one track: name, a bar each, and what was gained.

    Parameters
    ----------
    times
        Before and after.
    room_mm
        Width of the column.
    size_mm
        Size of the type.
    """
    spans = [("before", times.before, BEFORE), ("after", times.after, ACCENT)]
    known = [(name, span, colour) for name, span, colour in spans if span is not None]
    blocks = [paragraph(times.track, room_mm, size_mm, "bold")]
    blocks += [_bar(name, span, colour, known, room_mm, size_mm) for name, span, colour in known]
    if times.sentence:
        blocks.append(paragraph(times.sentence, room_mm, size_mm))
    return blocks


def _bar(
    name: str,
    span: Interval,
    colour: Rgb,
    known: list[tuple[str, Interval, Rgb]],
    room: float,
    size: float,
) -> Block:
    value = f"{span.typical_s:.3f} s"
    told = f"{span.low_s:.3f} to {span.high_s:.3f}, {span.runs} run{'s' * (span.runs != 1)}"
    words = max(width_mm(told, 0.8 * size), width_mm(value, size, "bold"))
    left, right = _LABEL * size, room - words - 0.8 * size
    low, high = _scale(known)
    step = LEADING * size
    middle = 0.95 * step

    def x(time_s: float) -> float:
        return left + (time_s - low) / (high - low) * (right - left)

    whole = path.polyline([(left, middle), (right, middle)])
    bar = path.rectangle(
        x(span.low_s), middle - 0.22 * size, x(span.high_s) - x(span.low_s), 0.44 * size
    )
    marks: tuple[Mark, ...] = (
        Words(0.0, middle + 0.33 * size, name, size, "regular", MUTED),
        Shape(whole, stroke=Stroke(MUTED, 0.12)),
        Shape(bar, fill=colour, opacity=0.35),
        Shape(path.circle(x(span.typical_s), middle, 0.32 * size), fill=colour),
        Words(room, 0.85 * size, value, size, "bold", INK, "end"),
        Words(room, 0.85 * size + 0.95 * size, told, 0.8 * size, "regular", MUTED, "end"),
    )
    return Block(1.75 * step, marks)


def _scale(known: list[tuple[str, Interval, Rgb]]) -> tuple[float, float]:
    """Return the ends of the scale, a little beyond all intervals."""
    low = min(span.low_s for _, span, _ in known)
    high = max(span.high_s for _, span, _ in known)
    spare = 0.08 * (high - low) or 0.01
    return low - spare, high + spare
