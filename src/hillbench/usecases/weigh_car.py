"""Keep a weighing of a car."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Final

from hillbench.coasting.car import CAR_RANGES
from hillbench.errors import InvalidInput, Problem
from hillbench.records import car_store, weighing_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Weighing
from hillbench.records.names import clean_note
from hillbench.records.quantities import check_range

MOST_READINGS: Final = 100
RESOLUTION_RANGE_G: Final = (0.0001, 10.0, "g")


def weigh_car(
    book: BenchBook,
    car_id: int,
    readings_g: Sequence[float],
    scale_resolution_g: float,
    now: datetime,
    *,
    at: datetime | None = None,
    note: str = "",
) -> Weighing:
    """Keep the readings of one weighing; the latest weighing of a car counts.

    Parameters
    ----------
    readings_g
        Every reading as read, g; the car is taken off the scale in between.
    scale_resolution_g
        Smallest step of the scale, g.
    at
        When it was weighed; `now` where None.

    Raises
    ------
    InvalidInput
        If there is no reading, too many, or one that no such car weighs.
    NotFound
        If there is no such car.
    """
    note = clean_note(note)
    check_weighing(readings_g, scale_resolution_g)
    with book.write() as session:
        car_store.touch_car(session, car_id, now)
        return weighing_store.add_weighing(
            session, car_id, readings_g, scale_resolution_g, at or now, note
        )


def check_weighing(readings_g: Sequence[float], scale_resolution_g: float) -> None:
    """Raise `InvalidInput` where readings of a scale, or its smallest step, cannot be.

    Parameters
    ----------
    readings_g
        Every reading as read, g.
    scale_resolution_g
        Smallest step of the scale, g.
    """
    problems = tuple(_problems(readings_g, scale_resolution_g))
    if problems:
        raise InvalidInput(problems)


def _problems(readings_g: Sequence[float], scale_resolution_g: float) -> Iterator[Problem]:
    count = len(readings_g)
    if not 1 <= count <= MOST_READINGS:
        remedy = "type what the scale showed" if count == 0 else "keep them as several weighings"
        seen = "without any reading" if count == 0 else f"{count} readings long"
        yield Problem("readings_g", seen, f"1 to {MOST_READINGS} readings", remedy)
    for place, reading in enumerate(readings_g[:MOST_READINGS], start=1):
        seen = f"{reading:g} g" + (f" in reading {place}" if count > 1 else "")
        yield from check_range("readings_g", reading, CAR_RANGES["mass_g"], seen)
    yield from check_range("scale_resolution_g", scale_resolution_g, RESOLUTION_RANGE_G)
