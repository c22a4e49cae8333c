"""The distance axis that pictures of a track share."""

from __future__ import annotations

from hillbench.pictures import drawing
from hillbench.pictures.length_unit import METRE, LengthUnit
from hillbench.pictures.scale import Scale


def distance_ticks(x: Scale, y_px: float, unit: LengthUnit = METRE) -> list[drawing.Mark]:
    """Return the ticks of a distance axis with their figures, the last with its unit."""
    ticks = unit.ticks(x.low, x.high, max(2, int((x.high_px - x.low_px) / 60.0)))
    marks: list[drawing.Mark] = []
    for at_m, number in ticks:
        place = x(at_m)
        text = f"{number} {unit.symbol}" if at_m == ticks[-1][0] else number
        marks.append(drawing.line((place, y_px), (place, y_px + 4.0), "axis"))
        marks.append(drawing.words(place, y_px + 17.0, text, "words-quiet", anchor="middle"))
    return marks
