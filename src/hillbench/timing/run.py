"""One timed run, as it was written down."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class RunNote(StrEnum):
    """How a run went, as seen by whoever stood beside the track."""

    CLEAN = "clean"
    SNAG = "snag"
    OFF_TRACK = "off track"
    NO_FINISH = "no finish"


@dataclass(frozen=True, slots=True)
class TimedRun:
    """One run of one car.

    Attributes
    ----------
    car
        Name of the car.
    time_s
        Finish time, s; None for a run without a finish.
    lane
        Lane it ran on; None where there is only one, or it was not noted.
    outing
        Outing it belongs to; None where all runs were made in one go.
    order
        Number of the run within its outing, for the drift; cars that ran side by side share
        one. None takes the place in the list.
    note
        How it went.
    gate_times_s
        Time from the start to each gate, s, None for one not taken; empty where none was read.
    row
        Row of the file or form it came from, for messages; None where there is none.
    """

    car: str
    time_s: float | None
    lane: str | None = None
    outing: str | None = None
    order: float | None = None
    note: RunNote = RunNote.CLEAN
    row: int | None = None
    gate_times_s: tuple[float | None, ...] = ()
