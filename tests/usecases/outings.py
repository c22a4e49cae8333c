"""A bench with an outing, for tests of the clock; invented."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from hillbench.records.bench_book import BenchBook
from hillbench.usecases.begin_outing import begin_outing
from hillbench.usecases.enter_run import enter_run
from hillbench.usecases.save_car import save_car
from hillbench.usecases.show_outing import OutingView, show_outing
from tests.usecases.bench import small_bench

NOW = datetime(2026, 3, 1, 19, 0, tzinfo=UTC)


@dataclass(frozen=True)
class Clock:
    """An open bench book with an outing of cars on a track."""

    book: BenchBook
    track_id: int
    car_ids: tuple[int, ...]
    outing_id: int

    def view(self) -> OutingView:
        return show_outing(self.book, self.outing_id, np.random.default_rng(5))

    def enter_next(self, *times_s: float) -> None:
        """Enter times for whoever's turn it is, a minute apart."""
        for time_s in times_s:
            view = self.view()
            at = NOW + timedelta(minutes=len(view.runs))
            turn = view.next_turns[0]
            enter_run(self.book, self.outing_id, turn.car_id, time_s, "clean", at)


@contextmanager
def clock(
    folder: Path, *, names: Sequence[str] = ("Sorrel", "Bramble"), lanes: int = 1
) -> Iterator[Clock]:
    """Give a bench with an outing that has begun."""
    with small_bench(folder) as (book, _, track_id):
        car_ids = tuple(save_car(book, "Marsh Runner", name, "", NOW).id for name in names)
        outing = begin_outing(book, track_id, car_ids, lanes, NOW)
        yield Clock(book, track_id, car_ids, outing.id)
