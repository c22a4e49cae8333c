"""Speed and elapsed time along the track, one above the other."""

from __future__ import annotations

from typing import Final

import numpy as np

from hillbench.coasting.result import Run
from hillbench.coasting.track import Track
from hillbench.pictures import drawing, labels
from hillbench.pictures.axis import distance_ticks
from hillbench.pictures.drawing import WIDE_PX
from hillbench.pictures.length_unit import METRE, LengthUnit
from hillbench.pictures.panel import Panel, lay_panel, panel_marks
from hillbench.pictures.profile import profile_sentence
from hillbench.pictures.scale import figure

_TOP_PX: Final = 34.0
_PANEL_PX: Final = 130.0
_BETWEEN_PX: Final = 44.0
_READ_OUT_POINTS: Final = 130


def trace_picture(
    track: Track,
    run: Run,
    *,
    width_px: int = WIDE_PX,
    key: str = "trace",
    unit: LengthUnit = METRE,
    standalone: bool = False,
) -> str:
    """Return speed and elapsed time over distance, with the gates, as SVG.

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
    length = track.finish_at_m
    fastest, longest = float(run.trace.speed_m_s.max()), float(run.trace.time_s[-1])
    speed_span = (length, 0.0, max(fastest * 1.2, 0.1))
    speed = lay_panel("Speed, m/s", width_px, _TOP_PX, _PANEL_PX, speed_span)
    below = _TOP_PX + _PANEL_PX + _BETWEEN_PX
    time_span = (length, 0.0, max(longest * 1.12, 0.1))
    time = lay_panel("Time since the start, s", width_px, below, _PANEL_PX, time_span)
    bottom = below + _PANEL_PX
    marks = [*_bend_bands(track, (speed, time)), *panel_marks(speed), *panel_marks(time)]
    marks += _gates(track, run, speed, time)
    marks.append(_curve(speed, run, run.trace.speed_m_s, "speed"))
    marks.append(_curve(time, run, run.trace.time_s, "time"))
    marks += _speed_labels(speed, run)
    marks += _end_label(time, run)
    marks += distance_ticks(time.x, bottom, unit)
    return drawing.picture(
        key,
        "Speed and time along the track",
        profile_sentence(run, unit),
        (width_px, bottom + 26.0),
        marks,
        standalone=standalone,
        data={
            "readout": "trace",
            "unit": unit.symbol,
            "per_m": f"{unit.per_m:.6g}",
            **_read_out(run, speed, time),
        },
    )


def _curve(panel: Panel, run: Run, values: np.ndarray, name: str) -> drawing.Mark:
    points = panel.points(run.trace.at_m, values)
    return drawing.polyline(points, "line-accent", data={"mark": name})


def _bend_bands(track: Track, panels: tuple[Panel, ...]) -> list[drawing.Mark]:
    return [
        drawing.box(
            panel.x(max(bend.from_m, 0.0)),
            panel.y.high_px,
            panel.x(min(bend.to_m, track.finish_at_m)) - panel.x(max(bend.from_m, 0.0)),
            panel.y.low_px - panel.y.high_px,
            "hill",
            data={"mark": "bend"},
        )
        for panel in panels
        for bend in track.bends
    ]


def _gates(track: Track, run: Run, speed: Panel, time: Panel) -> list[drawing.Mark]:
    """Return a line through both panels at each gate, and its time where there is room."""
    marks: list[drawing.Mark] = []
    reached = [
        (at, when)
        for at, when in zip(track.gates_at_m, run.gate_times_s, strict=True)
        if when is not None
    ]
    for at, when in reached:
        x = time.x(at)
        marks += [
            drawing.line((x, panel.y.high_px), (x, panel.y.low_px), "gate")
            for panel in (speed, time)
        ]
        marks.append(drawing.dot(x, time.y(when), radius=3.5))
    texts = [f"{figure(when, 2)} s" for _, when in reached]
    widths = [labels.text_width_px(text, 12.0) for text in texts]
    centres = [
        time.x(at) - width / 2.0 - 6.0 for (at, _), width in zip(reached, widths, strict=True)
    ]
    ends = [time.x.high_px, *centres]
    for index in labels.without_overlap(ends, [90.0, *widths]):
        if index and centres[index - 1] - widths[index - 1] / 2.0 > time.x.low_px:
            when = reached[index - 1][1]
            marks.append(
                drawing.words(
                    centres[index - 1],
                    time.y(when) - 7.0,
                    texts[index - 1],
                    "words",
                    "halo",
                    anchor="middle",
                    data={"mark": "gate-time"},
                )
            )
    return marks


def _speed_labels(panel: Panel, run: Run) -> list[drawing.Mark]:
    trace = run.trace
    fastest = int(np.argmax(trace.speed_m_s))
    x, y = panel.x(float(trace.at_m[fastest])), panel.y(float(trace.speed_m_s[fastest]))
    text = f"fastest {figure(float(trace.speed_m_s[fastest]), 2)}"
    half = labels.text_width_px(text) / 2.0
    centre = max(panel.x.low_px + half + 4.0, min(x, panel.x.high_px - half))
    marks = [
        drawing.dot(x, y),
        drawing.words(centre, y - 9.0, text, "words", "halo", anchor="middle"),
    ]
    if run.finish_speed_m_s is not None:
        end = (panel.x(float(trace.at_m[-1])), panel.y(run.finish_speed_m_s))
        text = f"finish {figure(run.finish_speed_m_s, 2)}"
        apart = end[0] - labels.text_width_px(text) - centre > half
        marks.append(drawing.dot(*end))
        if apart:
            marks.append(drawing.words(end[0], end[1] - 9.0, text, "words", "halo", anchor="end"))
        else:
            marks.append(drawing.words(end[0], end[1] + 20.0, text, "words", "halo", anchor="end"))
    return marks


def _end_label(panel: Panel, run: Run) -> list[drawing.Mark]:
    at, when = float(run.trace.at_m[-1]), float(run.trace.time_s[-1])
    x, y = panel.x(at), panel.y(when)
    if run.finish_time_s is None:
        return drawing.cross(x, y)
    words = f"{figure(run.finish_time_s, 2)} s"
    return [
        drawing.dot(x, y),
        drawing.words(x - 10.0, y - 4.0, words, "words-accent", "halo", anchor="end"),
    ]


def _read_out(run: Run, speed: Panel, time: Panel) -> dict[str, str]:
    """Return places, speeds and times for a script that reads the curve under a finger."""
    trace = run.trace
    at = np.linspace(0.0, float(trace.at_m[-1]), _READ_OUT_POINTS)
    return {
        "at_m": _list_figures(at, 3),
        "speed_m_s": _list_figures(np.interp(at, trace.at_m, trace.speed_m_s), 3),
        "time_s": _list_figures(np.interp(at, trace.at_m, trace.time_s), 3),
        "left_px": str(speed.x.low_px),
        "right_px": str(speed.x(float(trace.at_m[-1]))),
        "top_px": str(speed.y.high_px),
        "bottom_px": str(time.y.low_px),
    }


def _list_figures(values: np.ndarray, decimals: int) -> str:
    return " ".join(f"{value:.{decimals}f}" for value in values)
