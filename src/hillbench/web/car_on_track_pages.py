"""What the page of a car on a track shows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Final

import numpy as np

from hillbench.coasting.result import Run
from hillbench.coasting.track import Track
from hillbench.pictures.scale import Scale
from hillbench.records.entities import RunNote, TimedRun
from hillbench.usecases.predict_run import Change, Prediction
from hillbench.web.car_inputs import Input
from hillbench.web.page import Page
from hillbench.web.run_pictures import RunPictures
from hillbench.web.typed import Typed
from hillbench.web.what_if_pages import Answer, Slider

BAR_PX: Final = 200.0


@dataclass(frozen=True, slots=True)
class Gain:
    """What one change would buy.

    Attributes
    ----------
    change
        The change and the seconds it gains.
    bar_from_px, bar_width_px, zero_px
        Its bar on a scale `BAR_PX` wide.
    """

    change: Change
    bar_from_px: float
    bar_width_px: float
    zero_px: float


@dataclass(frozen=True, slots=True)
class Passing:
    """The car at one gate, or at the finish.

    Attributes
    ----------
    name
        Which gate.
    at_m, time_s, speed_m_s
        Where it stands, when the car passes it and how fast; None where it does not get there.
    """

    name: str
    at_m: float
    time_s: float | None
    speed_m_s: float | None


@dataclass(frozen=True, slots=True)
class CarOnTrackPage(Page):
    """A car on a track: what a run will take, where the time goes, what a change buys.

    Attributes
    ----------
    car_id, car_name, track_id, track_name
        Which car on which track.
    prediction
        The computed run with its sentence, notes and what changes would buy.
    pictures
        Its pictures.
    gains
        What each change would buy, with its bar.
    passings
        Time and speed at each gate and at the finish.
    sliders, answer, page_address
        What can be tried, what it answers, and the address of this page.
    inputs, assumed
        The numbers it stands on, and how many of them are assumed.
    runs, typical_s
        Runs timed with this car here, latest first, and the middle of the last day's; None
        without any.
    typed, notes_of_runs
        The form of a timed run, and how a run can have gone.
    """

    template: ClassVar[str] = "car_on_track/page.html"
    place: ClassVar[str] = "cars"

    car_id: int
    car_name: str
    track_id: int
    track_name: str
    prediction: Prediction
    pictures: RunPictures
    gains: tuple[Gain, ...]
    passings: tuple[Passing, ...]
    sliders: tuple[Slider, ...]
    answer: Answer
    page_address: str
    inputs: tuple[Input, ...]
    assumed: int
    runs: tuple[TimedRun, ...]
    typical_s: float | None
    typed: Typed
    notes_of_runs: tuple[tuple[str, str], ...] = tuple((str(n), str(n)) for n in RunNote)


def passings_of(track: Track, run: Run) -> tuple[Passing, ...]:
    """Return when and how fast the car passes each gate and the finish."""
    names = [f"Gate {number}" for number in range(1, len(track.gates_at_m) + 1)]
    times = [*run.gate_times_s, run.finish_time_s]
    places = [*track.gates_at_m, track.finish_at_m]
    speeds = np.interp(places, run.trace.at_m, run.trace.speed_m_s)
    return tuple(
        Passing(name, at_m, time_s, None if time_s is None else float(speed))
        for name, at_m, time_s, speed in zip([*names, "Finish"], places, times, speeds, strict=True)
    )


def gains_of(changes: tuple[Change, ...]) -> tuple[Gain, ...]:
    """Return what each change would buy, all bars to one scale; none where nothing finishes."""
    if all(change.gain_s is None for change in changes):
        return ()
    gains = [change.gain_s or 0.0 for change in changes]
    low, high = min([0.0, *gains]), max([0.0, *gains])
    scale = Scale(low, high if high > low else low + 1.0, 0.0, BAR_PX)
    return tuple(
        Gain(change, min(scale(gain), scale(0.0)), abs(gain) * scale.px_per_unit, scale(0.0))
        for change, gain in zip(changes, gains, strict=True)
    )
