"""The invented bench: always the same, sound, and rich enough for every page."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from hillbench.coasting.car import check_car
from hillbench.demo.cars import CARS, CASTINGS
from hillbench.demo.fill_demo import fill_demo
from hillbench.demo.hills import HILLS
from hillbench.demo.season import OUTINGS
from hillbench.demo.sides import SIDES
from hillbench.errors import InvalidInput
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_checks import check_bench
from hillbench.records.bench_file import BenchFile
from hillbench.records.bench_rows import bench_from_rows
from hillbench.records.entities import Kind, RunNote
from hillbench.records.photo_store import Subject, list_photos
from hillbench.usecases.describe_car import describe_car
from hillbench.usecases.find_photo_file import find_photo_file
from hillbench.usecases.list_bench import list_bench
from hillbench.usecases.list_removed import list_removed
from hillbench.usecases.list_tracks import list_tracks
from hillbench.usecases.save_track import check_state
from hillbench.usecases.show_bench_tests import show_bench_tests
from hillbench.usecases.show_car import show_car
from hillbench.usecases.show_outing import list_outings, show_outing
from hillbench.usecases.tell_roll_tests import tell_turning
from hillbench.usecases.tell_spin_downs import tell_spins

NOW = datetime(2026, 3, 14, 9, 12, 33, tzinfo=UTC)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchBook]:
    """A filled demo bench."""
    with BenchBook.open(tmp_path_factory.mktemp("demo")) as opened:
        fill_demo(opened, seed=64, now=NOW)
        yield opened


def everything(book: BenchBook) -> BenchFile:
    with book.read() as session:
        return bench_from_rows(session, "test", NOW)


def test_same_seed_and_moment_give_the_same_bench(book: BenchBook, tmp_path: Path) -> None:
    with BenchBook.open(tmp_path / "same") as same, BenchBook.open(tmp_path / "other") as other:
        fill_demo(same, seed=64, now=NOW)
        fill_demo(other, seed=65, now=NOW)
        assert everything(same) == everything(book)
        assert everything(other).timed_runs != everything(book).timed_runs


def test_it_says_that_it_is_invented(book: BenchBook) -> None:
    assert list_bench(book).invented


def test_it_would_pass_as_entered_by_hand(book: BenchBook) -> None:
    bench = everything(book)
    assert list(check_bench(bench)) == []
    for hill in HILLS:
        for _, state in hill.versions:
            assert list(check_state(state)) == []
    for one in list_bench(book).cars:
        assert check_car(describe_car(book, one.car.id).car) == ()


def test_everything_happened_before_now_and_in_order(book: BenchBook) -> None:
    bench = everything(book)
    moments = [run.at for run in bench.timed_runs] + [one.at for one in bench.readings]
    assert max(moments) < NOW
    for run in bench.timed_runs:
        version = next(one for one in bench.track_versions if one.id == run.track_version_id)
        later = [
            one
            for one in bench.track_versions
            if one.track_id == run.track_id and version.created_at < one.created_at <= run.at
        ]
        assert later == []  # run on the track as it was then


def test_main_hill_winds_and_takes_about_ten_seconds(book: BenchBook) -> None:
    tracks = {one.record.name: one for one in list_tracks(book)}
    main = tracks[HILLS[0].name]
    assert len(main.record.track.bends) == 8
    assert 17.0 < main.record.track.finish_at_m < 19.0
    assert main.typical_time_s == pytest.approx(10.0, abs=0.6)
    assert {bool(one.record.track.height_points) for one in tracks.values()} == {True, False}
    assert len(tracks) == 3


def test_there_is_something_for_every_page(book: BenchBook) -> None:
    cars = list_bench(book).cars
    assert len(CASTINGS) >= 5
    assert len(cars) == len(CARS) >= 8
    assert all(one.photo is not None for one in cars)
    assert {bool(one.missing) for one in cars} == {True, False}
    assert {one.weighing is None for one in cars} == {True, False}
    assert sum(one.run_count for one in cars) > 150
    notes = {run.note for run in everything(book).timed_runs}
    assert {RunNote.CLEAN, RunNote.SNAG} < notes
    assert {thing.kind for thing in list_removed(book)} == {Kind.WEIGHING, Kind.TIMED_RUN}
    best = show_car(book, cars[0].car.id)
    assert len(best.weighings) == 2
    assert best.current["bearing_friction"].value == 0.17


def test_runs_belong_to_outings_in_the_order_of_the_clock(book: BenchBook) -> None:
    bench = everything(book)
    listed = list_outings(book)
    assert len(listed) == len(OUTINGS)
    assert [run.removed_at is None for run in bench.timed_runs if run.outing_id is None] == [False]
    for one in listed:
        runs = [run for run in bench.timed_runs if run.outing_id == one.outing.id]
        assert [run.number for run in runs] == list(range(1, len(runs) + 1))
        assert len({run.at for run in runs}) == len(runs)
        planned = [turn.car_id for turn in one.outing.plan.turns[: len(runs)]]
        if len(one.car_names) == 2 and len(runs) > 8:
            continue  # a plan for ten runs each begins otherwise than one for six
        assert [run.car_id for run in runs] == planned
    lanes = Counter((run.car_id, run.lane) for run in bench.timed_runs if run.lane)
    assert {lane for _, lane in lanes} == {"1", "2"}
    assert len(set(lanes.values())) <= 3
    rng = np.random.default_rng(64)
    assert show_outing(book, listed[0].outing.id, rng).comparison is not None
    conditions = [one.outing.conditions for one in listed]
    assert {noted.surface_cleaned for noted in conditions} == {True, False}


def test_tests_at_the_bench_tell_a_story(book: BenchBook) -> None:
    cars = {one.car.name: one.car.id for one in list_bench(book).cars}
    mustard, ferry = (show_bench_tests(book, cars[name]) for name in ("Mustard", "Night Ferry"))
    assert "Stop here: the last round gained nothing measurable" in tell_spins(mustard.spins)
    assert "Another round is worth it" in tell_spins(ferry.spins)
    milk, rhubarb = (show_bench_tests(book, cars[name]) for name in ("Morning Milk", "Rhubarb"))
    assert milk.rolls is not None
    assert "It is the front axle itself that is bent" in tell_turning(milk.rolls)
    assert [len(one.answers) for one in rhubarb.rub_checks] == [7, 7]
    assert rhubarb.rubbing == ()  # what rubbed was put right
    assert len(show_bench_tests(book, cars["Thimble"]).coast_outs) == 1


def test_runs_on_hills_with_gates_have_their_times(book: BenchBook) -> None:
    bench = everything(book)
    gated = {one.id for one in bench.track_versions if one.geometry.gates_at_m}
    timed = [run for run in bench.timed_runs if run.finish_time_s and run.outing_id]
    assert all(bool(run.gate_times_s) is (run.track_version_id in gated) for run in timed)
    assert sum(bool(run.gate_times_s) for run in timed) > 50


def test_photos_are_there(book: BenchBook) -> None:
    for photo in everything(book).photos:
        assert find_photo_file(book, photo.sha256)[0].stat().st_size > 1000
        assert (photo.width_px, photo.height_px) == (960, 600)
    assert len({photo.sha256 for photo in everything(book).photos}) == len(CARS) + 1
    with book.read() as session:
        track = next(t.id for t in everything(book).tracks if t.name == HILLS[0].name)
        assert len(list_photos(session, Subject(Kind.TRACK, track))) == 1


def test_parts_of_the_story_fit_together() -> None:
    cars = {plan.name for plan in CARS}
    assert {plan.casting for plan in CARS} == set(CASTINGS) == set(SIDES)
    for outing in OUTINGS:
        assert set(outing.cars) <= cars
        assert outing.hill in {hill.name for hill in HILLS}
        for name in outing.cars:
            first = next(plan.rounds[0].days_ago for plan in CARS if plan.name == name)
            assert outing.days_ago <= first
    for plan in CARS:
        assert re.fullmatch(r"#[0-9a-f]{6}", plan.paint)


def test_filling_twice_is_refused_and_changes_nothing(book: BenchBook) -> None:
    before = everything(book)
    with pytest.raises(InvalidInput, match="no other track has"):
        fill_demo(book, seed=64, now=NOW)
    assert everything(book) == before
