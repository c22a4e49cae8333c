"""Show all that the bench book knows about one car."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from hillbench.records import (
    bench_test_store,
    car_store,
    photo_store,
    reading_store,
    run_store,
    track_store,
    weighing_store,
)
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_test_entities import (
    BenchTestRecord,
    CoastOutRecord,
    RollTestRecord,
    RubCheckRecord,
    SpinDownTest,
)
from hillbench.records.entities import CarRecord, Kind, Photo, Reading, TimedRun, Weighing
from hillbench.records.photo_store import Subject

MOST_RUNS: Final = 200
"""How many of the latest timed runs are shown."""

TEST_KINDS: Final[Mapping[type, Kind]] = {
    SpinDownTest: Kind.SPIN_DOWN,
    RollTestRecord: Kind.ROLL_TEST,
    CoastOutRecord: Kind.COAST_OUT,
    RubCheckRecord: Kind.RUB_CHECK,
}
"""The kind of each test at the bench."""


@dataclass(frozen=True, slots=True)
class Event:
    """One entry of a car's history; `thing` says what it is.

    Attributes
    ----------
    kind, id
        What it can be removed by.
    """

    at: datetime
    kind: Kind
    id: int
    thing: Weighing | Reading | Photo | TimedRun | BenchTestRecord


@dataclass(frozen=True, slots=True)
class ShownCar:
    """A car with everything that was kept about it, latest first.

    Attributes
    ----------
    current
        The reading that counts, by quantity; the weighing that counts is the first.
    track_names
        Names of the tracks it was timed on, by number.
    run_count
        Number of its timed runs; `runs` holds the latest 200.
    tests
        Its tests at the bench.
    """

    car: CarRecord
    weighings: tuple[Weighing, ...]
    readings: tuple[Reading, ...]
    current: dict[str, Reading]
    photos: tuple[Photo, ...]
    runs: tuple[TimedRun, ...]
    run_count: int
    track_names: dict[int, str]
    tests: tuple[BenchTestRecord, ...] = ()

    def history(self) -> tuple[Event, ...]:
        """Return everything in one line of time, latest first."""
        return tuple(sorted(self._events(), key=lambda event: event.at, reverse=True))

    def _events(self) -> Iterator[Event]:
        for weighing in self.weighings:
            yield Event(weighing.at, Kind.WEIGHING, weighing.id, weighing)
        for reading in self.readings:
            yield Event(reading.at, Kind.READING, reading.id, reading)
        for photo in self.photos:
            yield Event(photo.at, Kind.PHOTO, photo.id, photo)
        for run in self.runs:
            yield Event(run.at, Kind.TIMED_RUN, run.id, run)
        for test in self.tests:
            yield Event(test.at, TEST_KINDS[type(test)], test.id, test)


def show_car(book: BenchBook, car_id: int) -> ShownCar:
    """Return a car, removed or not, with everything kept about it.

    Raises
    ------
    NotFound
        If there is no such car.
    """
    with book.read() as session:
        runs = run_store.list_runs(session, car_id=car_id, limit=MOST_RUNS)
        return ShownCar(
            car=car_store.find_car(session, car_id),
            weighings=weighing_store.list_weighings(session, car_id),
            readings=reading_store.list_readings(session, car_id),
            current=reading_store.current_readings(session, car_id),
            photos=photo_store.list_photos(session, Subject(Kind.CAR, car_id)),
            runs=runs,
            run_count=run_store.count_runs_by_car(session, car_id).get(car_id, 0),
            track_names=track_store.names(session, {run.track_id for run in runs}),
            tests=bench_test_store.list_tests(session, car_id),
        )
