"""Two runs on one track: where the second is faster, and what it has gained by then."""

from __future__ import annotations

from typing import Final

import numpy as np

from hillbench.coasting.result import Floats, Run
from hillbench.coasting.track import Track
from hillbench.pictures import drawing
from hillbench.pictures.axis import distance_ticks
from hillbench.pictures.drawing import WIDE_PX
from hillbench.pictures.length_unit import METRE, LengthUnit
from hillbench.pictures.panel import Panel, lay_panel, panel_marks
from hillbench.pictures.scale import figure

_TOP_PX: Final = 34.0
_PANEL_PX: Final = 100.0
_BETWEEN_PX: Final = 44.0
_SAMPLES: Final = 160


def comparison_picture(
    track: Track,
    before: Run,
    after: Run,
    *,
    width_px: int = WIDE_PX,
    key: str = "comparison",
    unit: LengthUnit = METRE,
    standalone: bool = False,
) -> str:
    """Return the difference in speed and the time gained along the track, as SVG.

    Parameters
    ----------
    track
        The track of both runs.
    before, after
        The two runs.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    unit
        Unit of lengths along the track.
    standalone
        Whether it is to be a file of its own.
    """
    at, faster, gained = differences(before, after)
    speed = _panel("Faster by, m/s", faster, track, width_px, _TOP_PX)
    time = _panel("Gained by then, s", gained, track, width_px, _TOP_PX + _PANEL_PX + _BETWEEN_PX)
    bottom = time.y.low_px
    marks = [*panel_marks(speed), *panel_marks(time)]
    for panel, values, name in ((speed, faster, "faster"), (time, gained, "gained")):
        marks += _areas(panel, at, values)
        marks.append(drawing.polyline(panel.points(at, values), "line-accent", data={"mark": name}))
    marks += _end_label(time, float(at[-1]), float(gained[-1]))
    marks += distance_ticks(time.x, bottom, unit)
    return drawing.picture(
        key,
        "After the change against before",
        comparison_sentence(before, after),
        (width_px, bottom + 26.0),
        marks,
        standalone=standalone,
    )


def differences(before: Run, after: Run) -> tuple[Floats, Floats, Floats]:
    """Return places, gain in speed and time gained there, as far as both runs went.

    Returns
    -------
    at_m
        Places along the track, m, shape (k,).
    faster_m_s
        Speed after less speed before, m/s, shape (k,).
    gained_s
        Time before less time after, s, shape (k,).
    """
    end = min(float(before.trace.at_m[-1]), float(after.trace.at_m[-1]))
    at = np.linspace(0.0, end, _SAMPLES)
    speeds = [np.interp(at, run.trace.at_m, run.trace.speed_m_s) for run in (before, after)]
    times = [np.interp(at, run.trace.at_m, run.trace.time_s) for run in (before, after)]
    return at, speeds[1] - speeds[0], times[0] - times[1]


def comparison_sentence(before: Run, after: Run) -> str:
    """Return what the change does, in words."""
    if before.finish_time_s is None or after.finish_time_s is None:
        which = "before" if before.finish_time_s is None else "after"
        return f"The run {which} the change does not reach the finish, so no time is compared."
    gain = before.finish_time_s - after.finish_time_s
    verb = "gains" if gain >= 0.0 else "loses"
    times = f"{figure(before.finish_time_s, 2)} s before, {figure(after.finish_time_s, 2)} s after"
    return f"The change {verb} {figure(abs(gain), 3)} s: {times}."


def _panel(title: str, values: Floats, track: Track, width_px: int, top_px: float) -> Panel:
    low, high = min(0.0, float(values.min())), max(0.0, float(values.max()))
    room = 0.3 * max(high - low, 1e-4)  # for the words at the end of the curve
    low, high = (low - room if low < 0.0 else low), (high + room if high > 0.0 else high)
    high = high if high > low else low + room
    span = (track.finish_at_m, low, high)
    return lay_panel(title, width_px, top_px, _PANEL_PX, span)


def _areas(panel: Panel, at_m: Floats, values: Floats) -> list[drawing.Mark]:
    """Return what is gained and what is lost as areas against the zero line."""
    zero = panel.y(0.0)
    ends = (panel.x(float(at_m[-1])), zero), (panel.x(0.0), zero)
    return [
        drawing.polygon([*panel.points(at_m, part), *ends], style)
        for part, style in (
            (np.maximum(values, 0.0), "gained"),
            (np.minimum(values, 0.0), "lost"),
        )
        if np.any(part != 0.0)
    ]


def _end_label(panel: Panel, at_m: float, gained_s: float) -> list[drawing.Mark]:
    x, y = panel.x(at_m), panel.y(gained_s)
    sign = "+" if gained_s > 0.0 else ""
    text = f"{sign}{figure(gained_s, 3)} s"
    style = "words-accent" if gained_s >= 0.0 else "words-warning"
    return [
        drawing.dot(x, y),
        drawing.words(
            x - 9.0, y + (-8.0 if gained_s >= 0.0 else 20.0), text, style, "halo", anchor="end"
        ),
    ]
