"""The demo bench shows how forecasts turned out: held, not held, and not made yet."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from hillbench.demo.fill_demo import fill_demo
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.score_forecasts import score_kept_forecasts


def test_the_demo_scores_its_forecasts(tmp_path: Path) -> None:
    with BenchBook.open(tmp_path / "demo") as book:
        fill_demo(book, 64, datetime(2026, 5, 9, 20, 30, tzinfo=UTC))
        board = score_kept_forecasts(book)
    assert board.board.count == 2
    assert sorted(one.runs_before for one in board.scored) == [4, 4, 4]
    assert all(one.runs_otherwise == 0 for one in board.scored)
    assert sum(one.forecast.done_at is None for one in board.scored) == 1
    mustard = next(one for one in board.scored if one.car_name == "Mustard")
    assert mustard.clock is not None
    assert mustard.clock.gain_low_s > 0.0  # graphite gained something, by the clock
