"""The bench stays quick with ten thousand runs and a thousand cars."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import insert, text

from hillbench.coasting.track import SlopePoint, Track
from hillbench.records.bench_book import BenchBook
from hillbench.records.quantities import QUANTITIES
from hillbench.records.reading_store import current_readings
from hillbench.records.tables import CarRow, CastingRow, ReadingRow, TimedRunRow, WeighingRow
from hillbench.records.track_store import TrackState
from hillbench.usecases.list_bench import list_bench
from hillbench.usecases.save_track import save_track
from hillbench.usecases.show_car import show_car

NOW = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)
CARS, RUNS, TIMES_READ = 1000, 10_000, 3


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchBook]:
    """A bench book of a long life."""
    with BenchBook.open(tmp_path_factory.mktemp("long")) as opened:
        state = TrackState(Track(9.0, (SlopePoint(0.0, 12.0),)), 0.01, 0.2)
        save_track(opened, "Hill", "", state, NOW)
        named = {"note": "", "created_at": NOW, "changed_at": NOW}
        cars = [
            {"id": n, "casting_id": 1, "name": f"C{n}", "name_key": f"c{n}", **named}
            for n in range(1, CARS + 1)
        ]
        readings = [
            {"car_id": n, "quantity": name, "value": turn, "at": NOW + timedelta(turn), "note": ""}
            for n in range(1, CARS + 1)
            for name in QUANTITIES
            for turn in range(TIMES_READ)
        ]
        weighings = [
            {"car_id": n, "at": NOW, "scale_resolution_g": 0.1, "readings_g": [37.0], "note": ""}
            for n in range(1, CARS + 1)
        ]
        run = {"track_version_id": 1, "track_id": 1, "finish_time_s": 9.9, "note": "clean"}
        runs = [
            {**run, "car_id": n % CARS + 1, "at": NOW + timedelta(seconds=n)} for n in range(RUNS)
        ]
        with opened.write() as session:
            casting = {"id": 1, "name": "Casting", "name_key": "casting", **named}
            session.execute(insert(CastingRow), [casting])
            session.execute(insert(CarRow), cars)
            session.execute(insert(ReadingRow), readings)
            session.execute(insert(WeighingRow), weighings)
            session.execute(insert(TimedRunRow), runs)
        yield opened


def best_s(action: Callable[[], object], times: int = 5) -> float:
    """Return the least processor time of a few, which other work on the machine disturbs least."""
    taken = []
    for _ in range(times):
        start = time.process_time()
        action()
        taken.append(time.process_time() - start)
    return min(taken)


def test_current_values_of_a_car_are_quick(book: BenchBook) -> None:
    def read() -> None:
        with book.read() as session:
            current = current_readings(session, 500)
        assert {name: reading.value for name, reading in current.items()} == dict.fromkeys(
            QUANTITIES, 2.0
        )

    assert best_s(read) < 0.02


def test_page_of_a_car_is_quick(book: BenchBook) -> None:
    assert best_s(lambda: show_car(book, 500)) < 0.05


def test_bench_with_all_cars_takes_less_than_a_second(book: BenchBook) -> None:
    bench = list_bench(book)
    assert len(bench.cars) == CARS
    assert bench.cars[0].run_count == RUNS // CARS
    assert best_s(lambda: list_bench(book), times=2) < 1.0


def test_current_values_come_from_the_index(book: BenchBook) -> None:
    query = (
        "EXPLAIN QUERY PLAN SELECT *, row_number() OVER (PARTITION BY car_id, quantity"
        " ORDER BY at DESC, id DESC) FROM reading WHERE removed_at IS NULL AND car_id = 5"
    )
    with book.read() as session:
        plan = " ".join(row[3] for row in session.execute(text(query)))
    assert "SEARCH reading USING INDEX ix_reading_car_id_quantity_at" in plan
