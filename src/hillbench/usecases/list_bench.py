"""List the work in hand: every car in use, what is known of it and what is missing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sqlalchemy.orm import Session

from hillbench.records import (
    about_store,
    car_store,
    photo_store,
    reading_store,
    run_store,
    weighing_store,
)
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import CarRecord, Kind, Photo, Reading, TimedRun, Weighing

ESSENTIALS: Final = (
    "mass_g",
    "wheelbase_mm",
    "cg_ahead_of_rear_axle_mm",
    "wheel_diameter_mm",
    "axle_diameter_mm",
    "bearing_friction",
)
"""What a prediction gains most from when it is measured."""


@dataclass(frozen=True, slots=True)
class CarAtBench:
    """A car on the bench.

    Attributes
    ----------
    weighing
        The weighing that counts; None where it was never weighed.
    readings
        The reading that counts, by quantity.
    missing
        Which of `ESSENTIALS` nobody measured yet, in that order.
    photo
        The latest; None without any.
    last_run
        The latest timed run; None without any.
    run_count
        Number of timed runs.
    """

    car: CarRecord
    weighing: Weighing | None
    readings: dict[str, Reading]
    missing: tuple[str, ...]
    photo: Photo | None
    last_run: TimedRun | None
    run_count: int


@dataclass(frozen=True, slots=True)
class Bench:
    """The work in hand.

    Attributes
    ----------
    invented
        Whether this is the demo, in which everything is invented.
    cars
        Cars in use, last changed first.
    """

    invented: bool
    cars: tuple[CarAtBench, ...]


def list_bench(book: BenchBook) -> Bench:
    """Return every car in use with what counts for it."""
    with book.read() as session:
        return Bench(about_store.is_invented(session), _cars(session))


def _cars(session: Session) -> tuple[CarAtBench, ...]:
    weighings = weighing_store.latest_weighings(session)
    readings = reading_store.current_readings_by_car(session)
    photos = photo_store.latest_photos(session, Kind.CAR)
    last_runs = run_store.latest_runs(session)
    counts = run_store.count_runs_by_car(session)
    return tuple(
        CarAtBench(
            car=car,
            weighing=weighings.get(car.id),
            readings=readings.get(car.id, {}),
            missing=_missing(weighings.get(car.id), readings.get(car.id, {})),
            photo=photos.get(car.id),
            last_run=last_runs.get(car.id),
            run_count=counts.get(car.id, 0),
        )
        for car in car_store.list_cars(session)
    )


def _missing(weighing: Weighing | None, readings: dict[str, Reading]) -> tuple[str, ...]:
    known = {*readings, *(("mass_g",) if weighing is not None else ())}
    return tuple(name for name in ESSENTIALS if name not in known)
