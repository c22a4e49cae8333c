"""Forecasts are kept and held against what the clock said afterwards."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from hillbench.errors import InvalidInput, NotFound
from hillbench.fitting.advice import Advice, Verdict
from hillbench.fitting.change import Change
from hillbench.fitting.forecast import Forecast
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind
from hillbench.usecases.advise_car import Wish
from hillbench.usecases.gather_runs import gather_runs
from hillbench.usecases.keep_forecast import keep_forecast, mark_change_done, mark_change_undone
from hillbench.usecases.list_removed import list_removed
from hillbench.usecases.measure_car import measure_car
from hillbench.usecases.note_run import note_run
from hillbench.usecases.remove_thing import remove_thing, restore_thing
from hillbench.usecases.score_forecasts import score_kept_forecasts
from tests.databases import on_both
from tests.usecases.hill_runs import add_car, add_hill, days


@pytest.fixture
def book(tmp_path: Path) -> Iterator[BenchBook]:
    """A bench book with a hill and two cars."""
    with BenchBook.open(tmp_path / "bench") as opened:
        add_hill(opened)
        add_car(opened, "Copper", 36.0)
        add_car(opened, "Control", 40.0)
        yield opened


def advice(gain_s: float | None) -> Advice:
    """Return advice on a change with an interval of 0.05 s either way."""
    if gain_s is None:
        forecast = Forecast(Change("add 900 g"), None, None, None, None, None, None, 1.0, None)
        return Advice(forecast, Verdict.STALLS, "May not finish.", "May not finish.")
    forecast = Forecast(
        Change("add 10 g", mass_g=46.0), gain_s, gain_s - 0.05, gain_s + 0.05, 4.8, 0.9, 0.3, 0.0,
        None,
    )  # fmt: skip
    return Advice(forecast, Verdict.PROBABLY, "Probably.", "Probably.")


def keep_one(book: BenchBook, gain_s: float | None = 0.2) -> int:
    """Keep a forecast of the first car on the day 3."""
    gathered = gather_runs(book, 1, days(3), also_car_id=1)
    return keep_forecast(book, gathered, 1, advice(gain_s), Wish(4.7), days(3)).id


def run_both(book: BenchBook, time_s: float, day: float, count: int) -> None:
    """Time both cars in turn; the control always takes 5 s."""
    rng = np.random.default_rng(int(10 * day))
    for number in range(count):
        at = days(day) + timedelta(minutes=2 * number)
        for car_id, typical in ((1, time_s), (2, 5.0)):
            moment = at + timedelta(minutes=car_id - 1)
            note_run(book, 1, car_id, typical + rng.normal(0, 0.01), "clean", moment)


@on_both
def test_a_forecast_is_kept_as_it_was_told(book: BenchBook) -> None:
    keep_one(book)
    (one,) = score_kept_forecasts(book).scored
    assert (one.car_name, one.track_name) == ("Copper", "Cellar Stair")
    assert one.forecast.gain_low_s == pytest.approx(0.15)
    assert one.forecast.gain_s == 0.2
    assert one.forecast.change == {
        "name": "add 10 g", "mass_g": 46.0, "drag_area_factor": 1.0, "parts": 1,
    }  # fmt: skip
    assert (one.forecast.target_time_s, one.forecast.probability_target) == (4.7, 0.3)
    assert one.sentence.startswith("Not made yet")


def test_a_change_without_a_forecast_cannot_be_kept(book: BenchBook) -> None:
    with pytest.raises(InvalidInput, match="after which the car may not finish"):
        keep_one(book, None)
    assert score_kept_forecasts(book).scored == ()


@pytest.mark.parametrize(("gained_s", "held"), [(0.2, True), (-0.2, False)])
def test_the_clock_has_the_last_word(book: BenchBook, gained_s: float, held: bool) -> None:
    run_both(book, 5.0, 1, 6)
    mark_change_done(book, keep_one(book), days(4))
    run_both(book, 5.0 - gained_s, 5, 6)
    board = score_kept_forecasts(book)
    (one,) = board.scored
    assert (one.runs_before, one.runs_after) == (6, 6)
    assert one.clock is not None
    # The control ran before and after, so the gain is known to a few hundredths.
    assert one.clock.gain_s == pytest.approx(gained_s, abs=0.06)
    assert one.held is held
    assert (board.board.count, board.board.held) == (1, int(held))
    assert ("the interval held" in one.sentence) is held


def test_too_few_runs_are_said_to_be_too_few(book: BenchBook) -> None:
    run_both(book, 5.0, 1, 1)
    mark_change_done(book, keep_one(book), days(4))
    run_both(book, 4.8, 5, 2)
    board = score_kept_forecasts(book)
    assert board.scored[0].clock is None
    assert board.scored[0].sentence.endswith("2 more before it and 1 more after it to go.")
    assert board.board.sentence == "No forecast has been held against the clock yet."


def test_runs_before_the_change_was_noted_do_not_count_as_after(book: BenchBook) -> None:
    run_both(book, 5.0, 1, 3)
    forecast_id = keep_one(book)
    run_both(book, 5.0, 3.5, 3)  # tried again as it was
    mark_change_done(book, forecast_id, days(4))
    (one,) = score_kept_forecasts(book).scored
    assert (one.runs_before, one.runs_after) == (3, 0)
    mark_change_undone(book, forecast_id)
    assert score_kept_forecasts(book).scored[0].sentence.startswith("Not made yet")


def test_the_next_change_ends_the_runs_of_the_one_before(book: BenchBook) -> None:
    run_both(book, 5.0, 1, 3)
    first, second = keep_one(book), keep_one(book)
    mark_change_done(book, first, days(4))
    run_both(book, 4.8, 5, 3)
    mark_change_done(book, second, days(6))
    run_both(book, 4.7, 7, 4)
    later, earlier = score_kept_forecasts(book).scored
    assert (earlier.runs_after, later.runs_after) == (3, 4)


def test_runs_with_another_lubricant_do_not_count_as_after(book: BenchBook) -> None:
    run_both(book, 5.0, 1, 3)
    mark_change_done(book, keep_one(book), days(4))
    run_both(book, 4.8, 5, 3)
    measure_car(book, 1, {"bearing_friction": 0.1}, days(6), note="a drop of oil")
    run_both(book, 4.4, 7, 4)
    (one,) = score_kept_forecasts(book).scored
    assert (one.runs_before, one.runs_after, one.runs_otherwise) == (3, 3, 4)
    assert "4 later runs do not count, for something else was changed" in one.sentence
    assert one.clock is not None
    assert one.clock.gain_s == pytest.approx(0.2, abs=0.1)


@pytest.mark.parametrize(("lubricant", "counted"), [("graphite", 3), ("oil", 0), (None, 3)])
def test_of_a_lubrication_the_runs_with_that_lubricant_count(
    book: BenchBook, lubricant: str | None, counted: int
) -> None:
    """A lubrication that was only noted as made counts: the builder said so."""
    run_both(book, 5.0, 1, 3)
    change = Change("bring the bearings to “graphite”", state="graphite")
    forecast = Forecast(change, 0.2, 0.1, 0.3, 4.8, 0.99, None, 0.0, None)
    gathered = gather_runs(book, 1, days(3), also_car_id=1)
    told = Advice(forecast, Verdict.PROBABLY, "Probably.", "Probably.")
    kept = keep_forecast(book, gathered, 1, told, Wish(), days(3))
    mark_change_done(book, kept.id, days(4))
    if lubricant is not None:
        measure_car(book, 1, {"bearing_friction": 0.1}, days(4.5), note=lubricant)
    run_both(book, 4.8, 5, 3)
    (one,) = score_kept_forecasts(book).scored
    assert (one.runs_before, one.runs_after, one.runs_otherwise) == (3, counted, 3 - counted)


def test_noting_a_change_twice_keeps_the_first_moment(book: BenchBook) -> None:
    forecast_id = keep_one(book)
    mark_change_done(book, forecast_id, days(4))
    assert mark_change_done(book, forecast_id, days(9)).done_at == days(4)
    with pytest.raises(NotFound, match="no forecast '77'"):
        mark_change_done(book, 77, days(4))


@on_both
def test_a_removed_forecast_can_be_brought_back(book: BenchBook) -> None:
    forecast_id = keep_one(book)
    remove_thing(book, Kind.FORECAST, forecast_id, days(4))
    assert score_kept_forecasts(book).scored == ()
    assert [thing.title for thing in list_removed(book)] == ["Copper on Cellar Stair: add 10 g"]
    restore_thing(book, Kind.FORECAST, forecast_id)
    assert len(score_kept_forecasts(book).scored) == 1
