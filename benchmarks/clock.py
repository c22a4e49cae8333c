"""How fast the use cases of the clock are, with 100,000 timed runs in the bench book.

Run with ``PYTHONPATH=src python -m benchmarks.clock`` at the root. Prints the time from an entry to
the verdict and that of the histories; `benchmarks.clock_page` measures the same in a browser.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
from sqlalchemy import insert

from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import RunNote
from hillbench.records.outing_store import NewRun, add_outing, add_outing_runs
from hillbench.records.tables import CarRow, CastingRow
from hillbench.records.track_store import TrackState
from hillbench.usecases.begin_outing import begin_outing
from hillbench.usecases.enter_run import enter_run
from hillbench.usecases.plan_outing import plan_outing
from hillbench.usecases.save_track import save_track
from hillbench.usecases.show_outing import list_outings, show_outing
from hillbench.usecases.show_timing import show_timing_of_car, show_timing_of_track
from tests.browser.hills import WINDING

RUNS, OUTINGS, CARS = 100_000, 500, 40
ENTRIES = 200
"""Ten outings of two cars by ten runs each."""

ASKED_MS = 200.0
BEGUN = datetime(2020, 1, 1, 18, 0, tzinfo=UTC)


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder, BenchBook.open(Path(folder)) as book:
        track_id = fill(book)
        print(f"{RUNS} runs in {OUTINGS} outings of {CARS} cars on one track")
        report("entry to verdict", entries_ms(book, track_id))
        report("list of outings", timed_ms(lambda: list_outings(book)))
        report("times of a track", timed_ms(lambda: show_timing_of_track(book, track_id)))
        report("times of a car", timed_ms(lambda: show_timing_of_car(book, 1)))


def fill(book: BenchBook) -> int:
    """Put in the cars, the track and all the runs; return the number of the track."""
    rng = np.random.default_rng(64)
    track = save_track(book, "Hill", "", TrackState(WINDING, 0.008, 0.2), BEGUN)
    named = {"note": "", "created_at": BEGUN, "changed_at": BEGUN}
    cars = [
        {"id": n, "casting_id": 1, "name": f"Car {n}", "name_key": f"car {n}", **named}
        for n in range(1, CARS + 1)
    ]
    with book.write() as session:
        casting = {"id": 1, "name": "Casting", "name_key": "casting", **named}
        session.execute(insert(CastingRow), [casting])
        session.execute(insert(CarRow), cars)
        each = RUNS // OUTINGS
        for day in range(OUTINGS):
            car_ids = [int(n) + 1 for n in rng.choice(CARS, 4, replace=False)]
            begun = BEGUN + timedelta(days=day)
            outing = add_outing(session, track.version_id, track.id, begun, plan_outing(car_ids, 2))
            times = 12.3 + rng.normal(0.0, 0.05, each)
            runs = [
                NewRun(car_ids[n % 4], round(float(times[n]), 3), RunNote.CLEAN, str(n % 2 + 1))
                for n in range(each)
            ]
            add_outing_runs(session, outing, runs)
    return track.id


def entries_ms(book: BenchBook, track_id: int) -> list[float]:
    """Return how long each entry takes; the first one of an outing counts as well."""
    rng = np.random.default_rng(5)
    times = []
    for _ in range(ENTRIES // 20):
        outing = begin_outing(book, track_id, [1, 2], 2, datetime.now(UTC))
        show_outing(book, outing.id, np.random.default_rng(64))  # the page is open by then
        for number, turn in enumerate(outing.plan.turns):
            time_s = round(float(12.3 + 0.05 * (turn.car_id == 2) + rng.normal(0.0, 0.05)), 3)
            start = time.perf_counter()
            key = f"{outing.id}-{number}"
            now = datetime.now(UTC)
            enter_run(book, outing.id, turn.car_id, time_s, "clean", now, entry_key=key)
            show_outing(book, outing.id, np.random.default_rng(64))
            times.append(1e3 * (time.perf_counter() - start))
    return times


def timed_ms(act: Callable[[], object], times: int = 10) -> list[float]:
    """Return how long an action takes, several times."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        act()
        taken.append(1e3 * (time.perf_counter() - start))
    return taken


def report(what: str, times_ms: list[float]) -> None:
    """Print the median and the 95th percentile."""
    median, high = np.percentile(times_ms, [50, 95])
    asked = f"   asked {ASKED_MS:.0f} ms" if what.startswith("entry") else ""
    print(f"{what:30} median {median:6.1f} ms   p95 {high:6.1f} ms   n {len(times_ms)}{asked}")


if __name__ == "__main__":
    main()
