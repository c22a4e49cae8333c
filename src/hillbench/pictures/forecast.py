"""What was forecast, beside what the clock said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from hillbench.pictures import drawing
from hillbench.pictures.drawing import WIDE_PX
from hillbench.pictures.interval_rows import IntervalRow, interval_marks
from hillbench.pictures.scale import figure

Points = tuple[float, float, float]
"""5, 50 and 95 % points, s."""


@dataclass(frozen=True, slots=True)
class ForecastPair:
    """A forecast and what the clock said, both gains in s.

    Attributes
    ----------
    words
        The change and the car.
    forecast, clock
        The gains.
    held
        Whether the forecast's interval held.
    """

    words: str
    forecast: Points
    clock: Points
    held: bool


def forecast_picture(
    pairs: Sequence[ForecastPair],
    *,
    width_px: int = WIDE_PX,
    key: str = "forecast",
    standalone: bool = False,
) -> str:
    """Return each forecast with the clock's answer below it, as SVG.

    Parameters
    ----------
    pairs
        Forecasts that were held against the clock, in the order shown.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    standalone
        Whether it is to be a file of its own.
    """
    rows = [row for pair in pairs for row in _rows(pair)]
    marks, height = interval_marks(rows, "Time gained, s, with 90 % interval", width_px)
    title = "Forecasts beside the clock"
    sentence = forecast_sentence(pairs)
    return drawing.picture(key, title, sentence, (width_px, height), marks, standalone=standalone)


def forecast_sentence(pairs: Sequence[ForecastPair]) -> str:
    """Return which forecasts held, in words."""
    if not pairs:
        return "No forecast was held against the clock yet."
    return " ".join(
        f"{pair.words}: forecast {figure(pair.forecast[1], 3)} s, clock "
        f"{figure(pair.clock[1], 3)} s, {'held' if pair.held else 'not held'}."
        for pair in pairs
    )


def _rows(pair: ForecastPair) -> tuple[IntervalRow, IntervalRow]:
    ending = "held" if pair.held else "not held"
    style = "fill-accent" if pair.held else "warning"
    return (
        _row(f"{pair.words}: forecast, {ending}", pair.forecast, style),
        _row("what the clock said", pair.clock, "fill-muted"),
    )


def _row(words: str, points: Points, style: str) -> IntervalRow:
    sign = "+" if points[1] > 0.0 else ""
    return IntervalRow(words, *points, style, f"{sign}{figure(points[1], 3)} s")
