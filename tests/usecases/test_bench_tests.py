"""Tests at the bench go into the fit of every hill the car runs on, each once and as it was."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import pytest

from hillbench.errors import InvalidInput, NotFound
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_test_entities import FloorRoll, Travel, Turned, Way, Wheel
from hillbench.records.entities import Kind
from hillbench.usecases.fit_file import FitQuestion, fit_answer, run_fit
from hillbench.usecases.fit_track import fields_of
from hillbench.usecases.gather_runs import gather_runs
from hillbench.usecases.keep_coast_out import keep_coast_out
from hillbench.usecases.keep_roll_test import keep_roll_test
from hillbench.usecases.keep_rub_check import keep_rub_check
from hillbench.usecases.keep_spin_downs import WheelSpins, keep_spin_downs
from hillbench.usecases.measure_car import measure_car
from hillbench.usecases.note_run import note_run
from hillbench.usecases.remove_thing import remove_thing, restore_thing
from hillbench.usecases.show_bench_tests import show_bench_tests
from hillbench.usecases.tell_roll_tests import tell_axle, tell_rolls, tell_turning
from hillbench.usecases.tell_spin_downs import tell_matters, tell_notes, tell_spins, tell_wheel
from hillbench.usecases.use_friction import use_friction
from tests.usecases.hill_runs import add_car, add_hill, days

DRY = (0.70, 0.71, 0.69, 0.705)
GRAPHITE = (1.05, 1.06, 1.04, 1.055)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[BenchBook]:
    """A hill (1) and a car (1) whose bearing friction nobody read."""
    with BenchBook.open(tmp_path / "bench") as opened:
        add_hill(opened)
        add_car(opened, "Copper", 36.0)
        remove_thing(opened, Kind.READING, 2, days(0))
        yield opened


def spin(
    book: BenchBook, day: float, lubricant: str, number: int, times_s: tuple[float, ...]
) -> None:
    """Spin all wheels, filmed at eleven turns a second."""
    spins = {str(wheel): WheelSpins(times_s, (11.0,)) for wheel in Wheel}
    keep_spin_downs(book, 1, lubricant, number, spins, days(day), timed_by="film")


def rolls(steer_mm: float, aside_mm: float = 0.0, turned: Turned = Turned.NONE) -> list[FloorRoll]:
    """Return rolls over 2 m: nose first bends by `steer_mm`, tail first the other way."""
    return [
        FloorRoll(2.0, aside_mm + (steer_mm if travel is Travel.NOSE_FIRST else -steer_mm),
                  travel, way, turned)
        for travel in Travel
        for way in Way
    ]  # fmt: skip


def test_states_of_the_bearings_follow_the_spin_downs(book: BenchBook) -> None:
    spin(book, 1, "dry", 0, DRY)
    note_run(book, 1, 1, 5.0, "clean", days(2))
    spin(book, 3.0, "graphite", 1, (0.9, 0.91))
    spin(book, 3.1, "graphite", 2, GRAPHITE)  # the same evening: one piece of work
    note_run(book, 1, 1, 4.9, "clean", days(4))
    spin(book, 10, "graphite", 2, (0.72, 0.73))  # worn off again
    note_run(book, 1, 1, 5.0, "clean", days(11))
    evidence = gather_runs(book, 1, days(12)).evidence
    assert [run.state for run in evidence.runs] == ["dry", "graphite", "since 11 Mar 2026"]
    assert [test.state for test in evidence.spin_downs] == [
        "dry", "graphite", "since 11 Mar 2026",
    ]  # fmt: skip
    # Coulomb friction goes as one over the stop time.
    stops = [test.stop_time_s for test in evidence.spin_downs]
    means = [math.exp(sum(map(math.log, times)) / len(times)) for times in (DRY, GRAPHITE)]
    assert stops[1] / stops[0] == pytest.approx(means[1] / means[0])
    # Inertia and start speed are common to all; each round is known far better by itself.
    first = evidence.spin_downs[0]
    assert first.wheel_inertia_factor_uncertainty / 0.5 == pytest.approx(0.12, abs=0.02)
    assert first.stop_time_uncertainty_s / first.stop_time_s < 0.05


def test_friction_taken_into_use_is_not_counted_twice(book: BenchBook) -> None:
    spin(book, 1, "graphite", 1, GRAPHITE)
    note_run(book, 1, 1, 5.0, "clean", days(2))
    before = gather_runs(book, 1, days(3)).evidence
    reading = use_friction(book, 1, days(2.5))
    assert reading.value == pytest.approx(show_bench_tests(book, 1).spins.friction.value, abs=1e-4)  # type: ignore[union-attr]
    assert gather_runs(book, 1, days(3)).evidence == before
    # One that somebody measured otherwise does count.
    measure_car(book, 1, {"bearing_friction": 0.2}, days(2.6))
    assert len(gather_runs(book, 1, days(3)).evidence.spin_downs) == 2


def test_rolls_tell_of_the_car_as_it_was_built(book: BenchBook) -> None:
    keep_roll_test(book, 1, rolls(60.0), days(1), aim_uncertainty_deg=0.1)
    note_run(book, 1, 1, 5.0, "clean", days(2))
    keep_roll_test(book, 1, rolls(5.0), days(3), aim_uncertainty_deg=0.1, straightened=True)
    keep_roll_test(book, 1, rolls(6.0), days(3.1), aim_uncertainty_deg=0.1)
    note_run(book, 1, 1, 4.9, "clean", days(4))
    evidence = gather_runs(book, 1, days(5)).evidence
    assert [known.name for known in evidence.cars] == ["Copper", "Copper from 5 Mar 2026"]
    first, second = evidence.roll_tests
    assert (first.car, second.car) == ("Copper", "Copper from 5 Mar 2026")
    # 60 mm over 2 m are 15 mm over the metre that the fit is told of.
    assert first.drift_mm == pytest.approx(15.0, rel=0.01)
    assert second.drift_mm == pytest.approx(5.5 / 4.0, rel=0.02)
    judged = show_bench_tests(book, 1).rolls
    assert judged is not None
    assert len(judged.rolls) == 8


def test_coast_outs_on_a_floor_and_down_the_hill(book: BenchBook) -> None:
    note_run(book, 1, 1, 5.0, "clean", days(1))
    keep_coast_out(
        book, 1, (3.0, 3.2), days(2), surface="Tiles", entry_speed_m_s=1.4,
        level_uncertainty_deg=0.1,
    )  # fmt: skip
    keep_coast_out(book, 1, (11.5,), days(2), track_id=1)
    floor, hill = gather_runs(book, 1, days(3)).evidence.coast_outs
    assert (floor.surface, floor.entry_speed_m_s) == ("floor: Tiles", 1.4)
    assert floor.entry_speed_uncertainty_m_s == pytest.approx(0.07)
    assert floor.distance_m == pytest.approx(3.1)
    assert (hill.surface, hill.entry_speed_m_s, hill.mass_g) == ("track", None, 36.0)
    remove_thing(book, Kind.COAST_OUT, 1, days(3))
    assert len(gather_runs(book, 1, days(3)).evidence.coast_outs) == 1
    restore_thing(book, Kind.COAST_OUT, 1)
    assert len(gather_runs(book, 1, days(3)).evidence.coast_outs) == 2


def test_a_fit_takes_all_tests_and_says_what_they_tell(book: BenchBook) -> None:
    for place, time_s in enumerate((5.01, 5.00, 5.02, 4.99)):
        note_run(book, 1, 1, time_s, "clean", days(1 + 0.01 * place))
    spin(book, 1.5, "dry", 0, DRY)
    keep_roll_test(book, 1, rolls(20.0), days(1.5), aim_uncertainty_deg=0.1)
    keep_coast_out(book, 1, (3.0, 3.2), days(1.6), surface="Tiles", entry_speed_m_s=1.4)
    gathered = gather_runs(book, 1, days(2))
    answer = fit_answer(run_fit(FitQuestion(**fields_of(gathered.evidence))))
    unknowns = {(one.name, one.owner): one for one in answer.unknowns}
    names = {name for name, _ in unknowns}
    assert {"steer_deg", "spin_scale", "rolling_resistance"} <= names
    assert ("rolling_resistance", "floor: Tiles") in unknowns
    assert answer.statistics.tests >= 2
    bearing = unknowns["bearing_friction", "Copper, dry"]
    assert bearing.left < 0.6  # the spin-down tells it


def test_verdicts_use_the_hill_that_asks_most(book: BenchBook) -> None:
    spin(book, 1, "dry", 0, DRY)
    judged = show_bench_tests(book, 1).spins
    assert judged is not None
    assert "Do a round and spin the same wheels again" in tell_spins(judged)
    assert judged.matters.track_name == "Cellar Stair"
    assert 0.01 < judged.matters.share < 0.2
    spin(book, 2, "graphite", 1, GRAPHITE)
    judged = show_bench_tests(book, 1).spins
    assert judged is not None
    assert judged.gained_s is not None
    middle, low, high = judged.gained_s
    assert 0.0 < low < middle < high
    assert "Another round is worth it" in tell_spins(judged)
    assert all("go on" in tell_wheel(wheel) for wheel in judged.wheels)
    spin(book, 3, "graphite", 2, (0.8, 0.81, 0.79, 0.8))
    judged = show_bench_tests(book, 1).spins
    assert judged is not None
    assert tell_spins(judged).startswith("The last round made it worse by")


def test_without_a_hill_or_a_film_it_says_what_is_assumed(tmp_path: Path) -> None:
    with BenchBook.open(tmp_path / "bare") as book:
        car_id = add_car(book, "Copper", 36.0)
        for number, times in enumerate((DRY, DRY)):
            spins = {str(Wheel.FRONT_LEFT): WheelSpins(times)}
            keep_spin_downs(book, car_id, "graphite", number, spins, days(number))
        judged = show_bench_tests(book, car_id).spins
        assert judged is not None
        assert "is taken to be worth a round" in tell_matters(judged.matters)
        notes = tell_notes(judged)
        assert "known to about a third only" in notes[0]
        assert "Only 1 wheel was spun" in notes[1]
        assert judged.friction.standard_uncertainty / judged.friction.value > 0.35


def test_words_about_rolls(book: BenchBook) -> None:
    assert "was not rolled yet" in tell_rolls(None)
    keep_roll_test(book, 1, rolls(1.0), days(1), drift_uncertainty_mm=3.0)
    judged = show_bench_tests(book, 1).rolls
    assert judged is not None
    assert "It rolls straight, as far as these rolls tell" in tell_rolls(judged)
    assert tell_axle(judged) == ""
    # Out at the rear: the body stands aside to its path by as much as the rear axle.
    keep_roll_test(
        book, 1, rolls(-160.0, 2e3 * math.radians(0.197)), days(2), drift_uncertainty_mm=1.0,
        aim_uncertainty_deg=0.05, straightened=True,
    )  # fmt: skip
    judged = show_bench_tests(book, 1).rolls
    assert judged is not None
    assert "steers to the right" in tell_rolls(judged)
    assert tell_axle(judged).startswith("It is the rear axle: rear 0.19°")
    keep_roll_test(
        book, 1, rolls(160.0, -2e3 * math.radians(0.197), Turned.REAR), days(3),
        drift_uncertainty_mm=1.0, aim_uncertainty_deg=0.05,
    )  # fmt: skip
    judged = show_bench_tests(book, 1).rolls
    assert judged is not None
    assert "It is the rear axle itself that is bent" in tell_turning(judged)
    assert tell_axle(judged) == ""


def test_what_a_rub_check_leaves_open(book: BenchBook) -> None:
    assert len(show_bench_tests(book, 1).not_looked) == 7
    keep_rub_check(book, 1, {"base": "rubs", "play": "free"}, days(1))
    shown = show_bench_tests(book, 1)
    assert [place.name for place in shown.rubbing] == ["base"]
    assert len(shown.not_looked) == 5
    with pytest.raises(InvalidInput, match="one of: base"):
        keep_rub_check(book, 1, {"roof": "free"}, days(1))
    with pytest.raises(NotFound):
        keep_rub_check(book, 99, {"base": "free"}, days(1))


def test_all_wheels_are_kept_or_none(book: BenchBook) -> None:
    good, bad = WheelSpins((0.9,)), WheelSpins((0.9,), (11.0,), (9.0,))
    with pytest.raises(InvalidInput) as caught:
        keep_spin_downs(book, 1, "dry", 0, {"front left": good, "rear left": bad}, days(1))
    assert [problem.where for problem in caught.value.problems] == ["rear left.turns"]
    with pytest.raises(InvalidInput, match="one of: front left"):
        keep_spin_downs(book, 1, "dry", 0, {"fifth": good}, days(1))
    with pytest.raises(InvalidInput, match="a whole number"):
        keep_spin_downs(book, 1, "dry", float("nan"), {"front left": good}, days(1))
    with pytest.raises(InvalidInput, match="a list of 51"):
        keep_spin_downs(book, 1, "dry", 0, {"front left": WheelSpins((0.9,) * 51)}, days(1))
    assert show_bench_tests(book, 1).spin_downs == ()
