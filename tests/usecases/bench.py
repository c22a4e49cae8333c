"""A small bench book for tests of use cases; invented."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from hillbench.records.bench_book import BenchBook
from hillbench.records.track_store import TrackState
from hillbench.usecases.save_car import save_car
from hillbench.usecases.save_track import save_track
from tests.coasting.hill import WINDING

NOW = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)


@contextmanager
def small_bench(folder: Path) -> Iterator[tuple[BenchBook, int, int]]:
    """Give an open bench book with one car and one track, and their numbers."""
    with BenchBook.open(folder) as book:
        car = save_car(book, "Marsh Runner", "No. 7", "", NOW)
        state = TrackState(WINDING, 0.008, 0.2, None, None, None)
        track = save_track(book, "Long shed", "", state, NOW)
        yield book, car.id, track.id
