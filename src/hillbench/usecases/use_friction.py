"""Take the bearing friction of the latest spin-downs of a car as the one that counts."""

from __future__ import annotations

from datetime import datetime

from hillbench.errors import InvalidInput, Problem
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Reading
from hillbench.usecases.measure_car import measure_car
from hillbench.usecases.show_bench_tests import friction_note, show_bench_tests


def use_friction(book: BenchBook, car_id: int, now: datetime) -> Reading:
    """Keep the friction of the whole car in its last round as a reading, and return it.

    A fit takes the spin-downs themselves and leaves such a reading out.

    Raises
    ------
    InvalidInput
        If no wheel was spun.
    NotFound
        If there is no such car.
    """
    tests = show_bench_tests(book, car_id)
    if tests.spins is None:
        remedy = "spin a wheel first"
        raise InvalidInput([Problem("spin-downs", "empty", "one spin-down or more", remedy)])
    value = round(tests.spins.friction.value, 4)
    note = friction_note(tests.spin_downs[0])
    return measure_car(book, car_id, {"bearing_friction": value}, now, note=note)[0]
