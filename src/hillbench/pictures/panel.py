"""A panel of a curve along the track: frame, level lines, distance axis."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.coasting.result import Floats
from hillbench.pictures import drawing
from hillbench.pictures.scale import Scale, nice_ticks, tick_figure

LEFT_PX: Final = 46
RIGHT_PX: Final = 20
_SAMPLES: Final = 130


@dataclass(frozen=True, slots=True)
class Panel:
    """One panel.

    Attributes
    ----------
    x, y
        Scales of distance and of the value shown.
    title
        What is shown, with its unit; stands above the panel.
    """

    x: Scale
    y: Scale
    title: str

    def points(self, at_m: Floats, values: Floats) -> list[drawing.Point]:
        """Return a curve as places on the paper, thinned to what the eye can see."""
        if len(at_m) > _SAMPLES:
            thinned = np.linspace(float(at_m[0]), float(at_m[-1]), _SAMPLES)
            early = at_m[: _SAMPLES // 8]
            thinned = np.union1d(thinned, early)
            at_m, values = thinned, np.interp(thinned, at_m, values)
        return [(self.x(at), self.y(value)) for at, value in zip(at_m, values, strict=True)]


def lay_panel(
    title: str, width_px: int, top_px: float, height_px: float, span: tuple[float, float, float]
) -> Panel:
    """Return a panel below `top_px`.

    Parameters
    ----------
    title
        What is shown, with its unit.
    width_px
        Width of the whole picture.
    top_px, height_px
        Upper edge and height of the panel.
    span
        Length of the track, lowest and highest value shown.
    """
    length_m, low, high = span
    x = Scale(0.0, length_m, LEFT_PX, width_px - RIGHT_PX)
    return Panel(x, Scale(low, high, top_px + height_px, top_px), title)


def panel_marks(panel: Panel) -> list[drawing.Mark]:
    """Return the title, the level lines with their figures, and the base line."""
    left, right = panel.x.low_px, panel.x.high_px
    marks = [drawing.words(4.0, panel.y.high_px - 12.0, panel.title, "words-strong")]
    ticks = nice_ticks(panel.y.low, panel.y.high, 4)
    step = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
    for tick in ticks:
        y = panel.y(tick)
        style = "axis" if abs(tick) < step * 1e-6 else "rule"
        text = tick_figure(tick, step)
        marks.append(drawing.line((left, y), (right, y), style))
        marks.append(drawing.words(left - 6.0, y + 4.0, text, "words-quiet", anchor="end"))
    return marks
