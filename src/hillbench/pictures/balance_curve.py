"""Seconds against the place of the centre of gravity, with plan and car on the line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.pictures import drawing
from hillbench.pictures.labels import stack_in_rows, text_width_px
from hillbench.pictures.scale import Scale, figure, nice_ticks

_LEFT_PX: Final = 46.0
_RIGHT_PX: Final = 16.0
_PLOT_PX: Final = 190.0
_ROW_PX: Final = 17.0


@dataclass(frozen=True, slots=True)
class MarkedPlace:
    """A place that is marked on the curve.

    Attributes
    ----------
    label
        What is there.
    share
        Of the wheelbase ahead of the rear axle.
    time_s
        Time there, s.
    """

    label: str
    share: float
    time_s: float


def balance_curve_picture(
    shares: Sequence[float],
    times_s: Sequence[float | None],
    window: tuple[float, float] | None,
    places: Sequence[MarkedPlace],
    sentence: str,
    *,
    width_px: int,
    key: str,
) -> str:
    """Return the curve as SVG.

    Parameters
    ----------
    shares
        Places ahead of the rear axle, as shares of the wheelbase.
    times_s
        Time at each, s; None where the car does not finish.
    window
        Places that are as good as the best.
    places
        What is marked on it.
    sentence
        What it says.
    width_px
        Width of the picture.
    key
        Name of the picture, unique in its page.
    """
    known = [(x, t) for x, t in zip(shares, times_s, strict=True) if t is not None]
    ends = (min(shares), max(shares))
    rows, marks = _labels(places, ends, width_px)
    top = 12.0 + _ROW_PX * rows
    base = top + _PLOT_PX
    if known:
        low, high = min(t for _, t in known), max(t for _, t in known)
        room = max((high - low) * 0.12, 0.002)
        x = Scale(*ends, _LEFT_PX, width_px - _RIGHT_PX)
        y = Scale(low - room, high + room, base, top)
        marks = [*_ground(x, y, window), *_line(x, y, shares, times_s), *marks]
        marks += _dots(x, y, places, top)
    return drawing.picture(
        key,
        "Seconds against the place of the centre of gravity",
        sentence,
        (width_px, base + 2 * _ROW_PX + 8.0),
        marks,
    )


def _ground(x: Scale, y: Scale, window: tuple[float, float] | None) -> Iterator[drawing.Mark]:
    base, top = y.low_px, y.high_px
    if window is not None:
        left, right = x(window[0]), x(window[1])
        yield drawing.box(left, top, max(right - left, 2.0), base - top, "window")
    yield drawing.line((x.low_px, base), (x.high_px, base), "axis")
    for time in nice_ticks(y.low, y.high, 4):
        yield drawing.line((x.low_px, y(time)), (x.high_px, y(time)), "rule")
        yield drawing.words(
            x.low_px - 6.0, y(time) + 4.0, figure(time, 3)[:6], "words-quiet", anchor="end"
        )
    for share in nice_ticks(x.low, x.high, 8 if x.high_px > 500.0 else 4):
        yield drawing.line((x(share), base), (x(share), base + 4.0), "axis")
        text = f"{figure(100.0 * share, 0)} %"
        yield drawing.words(x(share), base + 17.0, text, "words-quiet", anchor="middle")
    title = "ahead of the rear axle, of the wheelbase; seconds upwards"
    yield drawing.words(x.low_px, base + 34.0, title, "words-quiet")


def _line(
    x: Scale, y: Scale, shares: Sequence[float], times_s: Sequence[float | None]
) -> Iterator[drawing.Mark]:
    part: list[tuple[float, float]] = []
    for share, time in zip(shares, times_s, strict=True):
        if time is not None:
            part.append((x(share), y(time)))
        elif part:
            yield drawing.polyline(part, "line")
            part = []
    if part:
        yield drawing.polyline(part, "line", data={"mark": "curve"})


def _labels(
    places: Sequence[MarkedPlace], ends: tuple[float, float], width_px: float
) -> tuple[int, list[drawing.Mark]]:
    """Return how many rows the words over the curve take, and the words."""
    x = Scale(*ends, _LEFT_PX, width_px - _RIGHT_PX)
    centres = [x(place.share) for place in places]
    widths = [text_width_px(place.label, 13.0) for place in places]
    placed = stack_in_rows(centres, widths, (4.0, width_px - 4.0))
    marks = [
        drawing.words(
            item.centre_px,
            13.0 + item.row * _ROW_PX,
            places[item.index].label,
            "words",
            anchor="middle",
        )
        for item in placed
    ]
    return max((item.row + 1 for item in placed), default=0), marks


def _dots(
    x: Scale, y: Scale, places: Sequence[MarkedPlace], top_px: float
) -> Iterator[drawing.Mark]:
    for place in places:
        at = (x(place.share), y(place.time_s))
        yield drawing.line((at[0], top_px - 4.0), at, "leader")
        yield drawing.dot(*at, radius=5.0)
