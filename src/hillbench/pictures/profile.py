"""A run on its hill: height over distance, coloured by speed."""

from __future__ import annotations

from typing import Final

import numpy as np

from hillbench.coasting.result import Floats, Run, Status
from hillbench.coasting.track import Track
from hillbench.pictures import below_axis, drawing, ground, labels, palette
from hillbench.pictures.drawing import ROOMY_PX, WIDE_PX
from hillbench.pictures.length_unit import METRE, LengthUnit
from hillbench.pictures.scale import figure

_RIBBON_PX: Final = 13.0
_RIBBON_PARTS: Final = 120
_ENDS: Final = {
    Status.DID_NOT_START: "stays here",
    Status.STALLED: "stops here",
    Status.LIFTED_OFF: "leaves the track here",
}


def profile_picture(
    track: Track,
    run: Run,
    *,
    width_px: int = WIDE_PX,
    key: str = "profile",
    unit: LengthUnit = METRE,
    standalone: bool = False,
) -> str:
    """Return the hill with the run's speed as a ribbon along it, as SVG.

    Parameters
    ----------
    track
        The track that was run.
    run
        What the run was computed to be.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    unit
        Unit of lengths along the track.
    standalone
        Whether it is to be a file of its own.
    """
    land = ground.lay_ground(track, width_px, 34.0, 180.0 if width_px >= ROOMY_PX else 160.0, unit)
    marks = ground.hill_marks(land)
    marks += _ribbon(land, run)
    marks.append(ground.surface_line(land))
    marks += _end_marks(land, run)
    marks += _speed_words(land, run)
    more, bottom = below_axis.gate_marks(land, _gate_texts(run, width_px), land.base_px + 22.0)
    marks += more
    more, bottom = below_axis.bend_words(land, bottom)
    marks += more
    marks.append(below_axis.scale_words(land, bottom + 18.0))
    return drawing.picture(
        key,
        "Height over distance, coloured by speed",
        profile_sentence(run, unit),
        (width_px, bottom + 26.0),
        marks,
        standalone=standalone,
    )


def profile_sentence(run: Run, unit: LengthUnit = METRE) -> str:
    """Return what the picture of a run shows, in words."""
    if run.status is Status.DID_NOT_START:
        return "The car stays on the start line."
    fastest = int(np.argmax(run.trace.speed_m_s))
    speed = figure(float(run.trace.speed_m_s[fastest]), 2)
    at = unit.told(float(run.trace.at_m[fastest]))
    top = f"Fastest at {at} with {speed} m/s"
    if run.finish_speed_m_s is not None and run.finish_time_s is not None:
        end = f"{figure(run.finish_speed_m_s, 2)} m/s at the finish"
        return f"{top}, {end} after {figure(run.finish_time_s, 2)} s."
    place = unit.told(run.where_m or 0.0)
    return f"{top}; the car {_ENDS[run.status].removesuffix(' here')} at {place}."


def _ribbon(land: ground.Ground, run: Run) -> list[drawing.Mark]:
    """Return the speed as coloured parts hanging under the line of the hill."""
    trace = run.trace
    end = float(trace.at_m[-1])
    if not end > 0.0:
        return []
    edges = np.linspace(0.0, end, max(2, int(_RIBBON_PARTS * end / land.x.high)))
    heights = land.profile.height_m(edges)
    speeds = np.interp((edges[:-1] + edges[1:]) / 2.0, trace.at_m, trace.speed_m_s)
    fastest = float(trace.speed_m_s.max())
    steps = [palette.speed_style(float(speed), fastest) for speed in speeds]
    marks = []
    first = 0
    for last in range(1, len(steps) + 1):
        if last == len(steps) or steps[last] != steps[first]:
            part = slice(first, last + 2)  # one further, so that no seam shows
            marks.append(_ribbon_part(land, edges[part], heights[part], steps[first]))
            first = last
    return marks


def _ribbon_part(
    land: ground.Ground, places_m: Floats, heights_m: Floats, style: str
) -> drawing.Mark:
    upper = [(land.x(at), land.y(height)) for at, height in zip(places_m, heights_m, strict=True)]
    lower = [(x, y + _RIBBON_PX) for x, y in reversed(upper)]
    return drawing.polygon([*upper, *lower], style, data={"mark": "speed"})


def _end_marks(land: ground.Ground, run: Run) -> list[drawing.Mark]:
    """Return the finish, and the place where the run ended if it did not get there."""
    if run.finish_time_s is not None:
        return ground.finish_marks(land, f"{figure(run.finish_time_s, 2)} s")
    x, y = land.surface_px(run.where_m or 0.0)
    left, right = _warning_span(land, run)
    flag = land.surface_px(land.track.finish_at_m)[1] - 42.0
    base_line = min(ground.words_above_px(land, left, right) - 8.0, y - 16.0)
    if right > land.x.high_px - 24.0:
        base_line = min(base_line, flag)
    words = drawing.words(
        (left + right) / 2.0,
        base_line,
        _warning(run, land.unit),
        "words-warning",
        "halo",
        anchor="middle",
    )
    return [*ground.finish_marks(land), *drawing.cross(x, y), words]


def _warning(run: Run, unit: LengthUnit) -> str:
    return f"{_ENDS[run.status]}, {unit.told(run.where_m or 0.0)}"


def _warning_span(land: ground.Ground, run: Run) -> tuple[float, float]:
    """Return the left and right end of the words at the place where the run ended."""
    half = labels.text_width_px(_warning(run, land.unit), 14.0) / 2.0
    x = land.x(run.where_m or 0.0)
    centre = max(land.x.low_px + half, min(x, land.x.high_px - half))
    return centre - half, centre + half


def _speed_words(land: ground.Ground, run: Run) -> list[drawing.Mark]:
    """Return the speed in figures at the places that tell most, where there is room."""
    trace = run.trace
    places = _telling_places(run)
    texts = [f"{figure(float(np.interp(at, trace.at_m, trace.speed_m_s)), 2)} m/s" for at in places]
    widths = [labels.text_width_px(text) for text in texts]
    centres = [land.x(at) + width / 2.0 - 8.0 for at, width in zip(places, widths, strict=True)]
    if run.finish_time_s is None:
        left, right = _warning_span(land, run)
    else:
        left, right = land.x.high_px - 56.0, land.x.high_px
    taken = [(left + right) / 2.0, *centres]
    kept = labels.without_overlap(taken, [right - left, *widths])
    marks = []
    for index in (item - 1 for item in kept if item):
        left, right = (centres[index] + side * widths[index] / 2.0 for side in (-1.0, 1.0))
        if right > land.x.high_px:
            continue
        base_line = ground.words_above_px(land, left, right)
        data = {"mark": "speed-words", "at_m": f"{places[index]:.4g}"}
        marks.append(drawing.dot(*land.surface_px(places[index])))
        marks.append(drawing.words(left, base_line, texts[index], "words", "halo", data=data))
    return marks


def _telling_places(run: Run) -> list[float]:
    """Return places in order of what their speed tells: fastest, then the turns of the curve."""
    at, speed = run.trace.at_m, run.trace.speed_m_s
    if len(at) < 3 or not at[-1] > 0.0:
        return []
    inner = np.arange(1, len(at) - 1)
    turns = inner[(speed[inner] - speed[inner - 1]) * (speed[inner + 1] - speed[inner]) < 0.0]
    even = np.interp([0.25, 0.5, 0.75, 0.12], [0.0, 1.0], [0.0, float(at[-1])])
    fastest = float(at[int(np.argmax(speed))])
    return [fastest, *map(float, at[turns][:12]), *map(float, even)]


def _gate_texts(run: Run, width_px: int) -> tuple[str, ...]:
    wide = width_px >= ROOMY_PX
    return tuple(
        (f"gate {number}: " if wide else "") + ("–" if time is None else f"{figure(time, 2)} s")
        for number, time in enumerate(run.gate_times_s, start=1)
    )
