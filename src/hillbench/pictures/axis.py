"""The distance axis that pictures of a track share."""

from __future__ import annotations

from hillbench.pictures import drawing
from hillbench.pictures.scale import Scale, nice_ticks, tick_figure


def distance_ticks(x: Scale, y_px: float) -> list[drawing.Mark]:
    """Return the ticks of a distance axis with their figures in metres."""
    ticks = nice_ticks(x.low, x.high, max(2, int((x.high_px - x.low_px) / 60.0)))
    step = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
    marks: list[drawing.Mark] = []
    for tick in ticks:
        place = x(tick)
        text = tick_figure(tick, step) + (" m" if tick == ticks[-1] else "")
        marks.append(drawing.line((place, y_px), (place, y_px + 4.0), "axis"))
        marks.append(drawing.words(place, y_px + 17.0, text, "words-quiet", anchor="middle"))
    return marks
