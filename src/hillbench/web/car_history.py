"""What was entered about a car, each in one sentence."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from hillbench.records.bench_test_entities import BenchTestRecord
from hillbench.records.entities import Kind, Photo, Reading, RunNote, TimedRun, Weighing
from hillbench.usecases.show_car import ShownCar
from hillbench.web.quantities import BY_NAME
from hillbench.web.showing import Showing
from hillbench.web.templating import count
from hillbench.web.tests_told import told_test


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the history.

    Attributes
    ----------
    kind, id
        What it can be removed by; both None for what cannot be removed here.
    sentence
        What was entered.
    note
        What was noted with it; may be empty.
    """

    at: datetime
    kind: Kind | None
    id: int | None
    sentence: str
    note: str = ""


def entries(shown: ShownCar, show: Showing) -> tuple[Entry, ...]:
    """Return everything entered about a car, latest first; the first entry comes last."""
    events = [
        Entry(
            event.at, event.kind, event.id, _sentence(event.thing, shown, show), _note(event.thing)
        )
        for event in shown.history()
    ]
    return (*events, Entry(shown.car.created_at, None, None, "Added to the bench book"))


def _sentence(
    thing: Weighing | Reading | Photo | TimedRun | BenchTestRecord, shown: ShownCar, show: Showing
) -> str:
    match thing:
        case Weighing():
            mass = thing.estimate()
            readings = count(len(thing.readings_g), "reading")
            return f"Weighed {show.mass(mass.value, mass.standard_uncertainty)}, {readings}"
        case Reading():
            quantity = BY_NAME[thing.quantity]
            return f"{quantity.label}: {quantity.shown(thing.value, show)}"
        case Photo():
            return f"Photo: {thing.caption}" if thing.caption else "Photo"
        case TimedRun():
            track = shown.track_names.get(thing.track_id, "a track")
            if thing.finish_time_s is None:
                return f"Run on {track}: {thing.note}"
            told = "" if thing.note is RunNote.CLEAN else f", {thing.note}"
            return f"Run on {track}: {show.time(thing.finish_time_s)}{told}"
        case _:
            return told_test(thing, show)


def _note(thing: Weighing | Reading | Photo | TimedRun | BenchTestRecord) -> str:
    return "" if isinstance(thing, Photo | TimedRun) else thing.note
