"""Runs are gathered with the car and the hill as they were when it ran."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from pathlib import Path

import pytest

from hillbench.coasting.track import SlopePoint, Track
from hillbench.errors import InvalidInput, NotFound
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind
from hillbench.usecases.bearing_states import lubricant_in
from hillbench.usecases.gather_runs import gather_runs
from hillbench.usecases.measure_car import measure_car
from hillbench.usecases.note_run import note_run
from hillbench.usecases.remove_thing import remove_thing
from hillbench.usecases.save_track import save_track
from hillbench.usecases.weigh_car import weigh_car
from tests.usecases.hill_runs import STATE, add_car, add_hill, days


@pytest.fixture
def book(tmp_path: Path) -> Iterator[BenchBook]:
    """An empty bench book."""
    with BenchBook.open(tmp_path / "bench") as opened:
        yield opened


def test_each_run_has_the_mass_and_balance_of_its_day(book: BenchBook) -> None:
    track_id, car_id = add_hill(book), add_car(book, "Copper", 36.0, days(1))
    note_run(book, track_id, car_id, 5.0, "clean", days(0))  # before anything was weighed
    note_run(book, track_id, car_id, 5.0, "clean", days(2))
    weigh_car(book, car_id, [48.0], 0.1, days(3))
    measure_car(book, car_id, {"cg_ahead_of_rear_axle_mm": 17.5}, days(3))
    note_run(book, track_id, car_id, 4.9, "clean", days(4))
    gathered = gather_runs(book, track_id, days(5))
    assert [run.mass_g for run in gathered.evidence.runs] == [36.0, 36.0, 48.0]
    assert [run.cg_ahead_of_rear_axle_mm for run in gathered.evidence.runs] == [17.5] * 3
    assert gathered.now[car_id].car.mass_g == 48.0
    assert len(gathered.evidence.cars) == 1


def test_a_car_that_was_never_weighed_is_not_known_to_the_gram(book: BenchBook) -> None:
    track_id, car_id = add_hill(book), add_car(book, "Copper", None)
    note_run(book, track_id, car_id, 5.0, "clean", days(1))
    known = gather_runs(book, track_id, days(2)).evidence.cars[0]
    assert known.mass_uncertainty_g == 4.0


def test_a_change_of_bearing_friction_begins_another_state(book: BenchBook) -> None:
    track_id, car_id = add_hill(book), add_car(book, "Copper", 36.0)
    for day, friction, note in (
        (2, 0.24, ""),  # within what a spin-down repeats: the same state, read again
        (4, 0.14, "graphite, three rounds"),
        (6, 0.30, ""),
    ):
        note_run(book, track_id, car_id, 5.0, "clean", days(day - 1))
        measure_car(book, car_id, {"bearing_friction": friction}, days(day), note=note)
    note_run(book, track_id, car_id, 5.0, "clean", days(7))
    evidence = gather_runs(book, track_id, days(8)).evidence
    states = [run.state for run in evidence.runs]
    assert states == ["as it is", "as it is", "graphite", "since 7 Mar 2026"]
    assert [test.state for test in evidence.spin_downs] == [
        "as it is", "as it is", "graphite", "since 7 Mar 2026",
    ]  # fmt: skip
    # Coulomb friction: the stop time goes as one over the friction.
    stops = [test.stop_time_s for test in evidence.spin_downs]
    assert stops[0] * 0.22 == pytest.approx(stops[2] * 0.14)


def test_other_wheels_make_another_car(book: BenchBook) -> None:
    track_id, car_id = add_hill(book), add_car(book, "Copper", 36.0)
    measure_car(book, car_id, {"wheel_diameter_mm": 10.4}, days(0))
    note_run(book, track_id, car_id, 5.0, "clean", days(1))
    measure_car(book, car_id, {"wheel_diameter_mm": 11.9}, days(2))
    note_run(book, track_id, car_id, 5.0, "clean", days(3))
    evidence = gather_runs(book, track_id, days(4)).evidence
    assert [known.name for known in evidence.cars] == ["Copper", "Copper from 4 Mar 2026"]
    assert [known.car.wheel_diameter_mm for known in evidence.cars] == [10.4, 11.9]
    assert [run.car for run in evidence.runs] == ["Copper", "Copper from 4 Mar 2026"]


def test_a_track_edited_after_its_runs_keeps_them_as_it_was(book: BenchBook) -> None:
    track_id, car_id = add_hill(book), add_car(book, "Copper", 36.0)
    note_run(book, track_id, car_id, 5.0, "clean", days(1))
    longer = Track(9.0, (SlopePoint(0.0, 14.0), SlopePoint(9.0, 3.0)))
    edited = dataclasses.replace(STATE, track=longer)
    save_track(book, "Cellar Stair", "", edited, days(2), track_id=track_id)
    gathered = gather_runs(book, track_id, days(3))
    assert gathered.evidence.track.finish_at_m == 8.0
    assert gathered.notes[0] == (
        "The track was edited on 3 Mar 2026 and no run was timed on it since: all this is for "
        "the hill as it was before."
    )
    note_run(book, track_id, car_id, 5.6, "clean", days(4))
    gathered = gather_runs(book, track_id, days(5))
    assert gathered.evidence.track.finish_at_m == 9.0
    assert [run.finish_time_s for run in gathered.evidence.runs] == [5.6]
    assert gathered.notes[0].startswith("1 run was timed on other versions of this track; it keeps")
    earlier = gather_runs(book, track_id, days(5), number=1)
    assert [run.finish_time_s for run in earlier.evidence.runs] == [5.0]
    with pytest.raises(NotFound, match="version of the track"):
        gather_runs(book, track_id, days(5), number=3)


def test_readings_that_contradict_each_other_are_told_in_one_sentence(book: BenchBook) -> None:
    track_id, car_id = add_hill(book), add_car(book, "Copper", 36.0)
    measure_car(book, car_id, {"cg_ahead_of_rear_axle_mm": 40.0}, days(0))
    note_run(book, track_id, car_id, 5.0, "clean", days(1))
    # The wheelbase was read wrongly before, so the balance of the first run cannot be.
    corrected = {"wheelbase_mm": 30.0, "cg_ahead_of_rear_axle_mm": 14.0}
    measure_car(book, car_id, corrected, days(2))
    with pytest.raises(InvalidInput, match="Copper, CG ahead of rear axle is 40 mm") as caught:
        gather_runs(book, track_id, days(3))
    assert len(caught.value.problems) == 1


def test_the_key_changes_with_all_that_a_result_depends_on(book: BenchBook) -> None:
    track_id, car_id = add_hill(book), add_car(book, "Copper", 36.0)
    run = note_run(book, track_id, car_id, 5.0, "clean", days(1))

    def key() -> str:
        return gather_runs(book, track_id, days(5)).key("made of")

    first = key()
    assert key() == first
    weigh_car(book, car_id, [36.4], 0.1, days(0.5))
    weighed = key()
    note_run(book, track_id, car_id, 5.1, "clean", days(2))
    longer = key()
    remove_thing(book, Kind.TIMED_RUN, run.id, days(3))
    assert len({first, weighed, longer, key()}) == 4
    assert gather_runs(book, track_id, days(5)).key("help") != key()


def test_lubricants_are_found_in_notes() -> None:
    assert lubricant_in("Graphite, three rounds") == "graphite"
    assert lubricant_in("a drop of oil last week") == "oil"
    assert lubricant_in("as it came") == ""
