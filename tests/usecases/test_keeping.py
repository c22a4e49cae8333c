"""What a builder enters is kept, changed, removed and brought back."""

from __future__ import annotations

import dataclasses
import errno
import io
import math
import os
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from hillbench.coasting.track import SlopePoint, Track
from hillbench.errors import InvalidInput, NotFound
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind
from hillbench.records.errors import DiskFull, ReadOnlyBenchBook
from hillbench.records.photo_store import Subject
from hillbench.records.track_store import TrackState, find_track, list_track_versions
from hillbench.usecases.add_photo import add_photo
from hillbench.usecases.find_photo_file import find_photo_file
from hillbench.usecases.list_bench import list_bench
from hillbench.usecases.list_removed import list_removed
from hillbench.usecases.list_tracks import list_tracks
from hillbench.usecases.measure_car import measure_car
from hillbench.usecases.note_run import note_run
from hillbench.usecases.remove_thing import remove_thing, restore_thing
from hillbench.usecases.save_car import save_car
from hillbench.usecases.save_casting import save_casting
from hillbench.usecases.save_track import save_track
from hillbench.usecases.show_car import show_car
from hillbench.usecases.weigh_car import weigh_car
from tests.databases import ON_BOTH

pytestmark = ON_BOTH

NOW = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)
LATER = NOW + timedelta(hours=1)
HILL = TrackState(Track(9.0, (SlopePoint(0.0, 12.0),)), 0.01, 0.2)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[BenchBook]:
    """A bench book with car 1 and track 1."""
    with BenchBook.open(tmp_path / "bench") as opened:
        save_car(opened, "Brindle", "One", "", NOW)
        save_track(opened, "Hill", "", HILL, NOW)
        yield opened


def picture() -> bytes:
    content = io.BytesIO()
    Image.new("RGB", (64, 48), "green").save(content, "PNG")
    return content.getvalue()


def places(action: Callable[[], object]) -> list[str]:
    """Do what must be refused and return the names of the fields told."""
    with pytest.raises(InvalidInput) as caught:
        action()
    return [problem.where for problem in caught.value.problems]


def test_car_is_kept_with_its_casting(book: BenchBook) -> None:
    second = save_car(book, "brindle", " Two\t", "line\r\nline", LATER)
    assert (second.casting_name, second.name, second.note) == ("Brindle", "Two", "line\nline")
    moved = save_car(book, "Other", "Zwei", "", LATER, car_id=second.id)
    assert (moved.id, moved.casting_name, moved.created_at) == (second.id, "Other", LATER)
    assert [one.car.name for one in list_bench(book).cars] == ["Zwei", "One"]


def test_name_of_another_car_is_refused_and_no_casting_left(book: BenchBook) -> None:
    assert places(lambda: save_car(book, "New casting", "ONE", "", NOW)) == ["name"]
    # The casting was not kept by itself: its name is still free.
    assert save_casting(book, "New casting", "", NOW).name == "New casting"
    assert places(lambda: save_casting(book, "new CASTING", "", NOW)) == ["name"]
    assert save_car(book, "Brindle", "one", "", NOW, car_id=1).name == "one"


def test_bad_names_are_told_under_the_name_of_their_field(book: BenchBook) -> None:
    assert places(lambda: save_car(book, "", "Two", "", NOW)) == ["casting"]
    assert places(lambda: save_car(book, "Brindle", "x" * 5000, "", NOW)) == ["name"]
    assert places(lambda: save_car(book, "Brindle", "Two", "\x00", NOW)) == ["note"]
    assert places(lambda: save_track(book, "hill", "", HILL, NOW)) == ["name"]


def test_change_of_a_track_makes_a_version_and_keeps_the_old_one(book: BenchBook) -> None:
    waxed = dataclasses.replace(HILL, wall_friction=0.15, temperature_c=21.0)
    first = note_run(book, 1, 1, 5.1, "clean", NOW)
    changed = save_track(book, "Hill", "", waxed, LATER, track_id=1)
    second = note_run(book, 1, 1, 4.9, "clean", LATER)
    assert (changed.number, changed.wall_friction, changed.temperature_c) == (2, 0.15, 21.0)
    with book.read() as session:
        versions = list_track_versions(session, 1)
        assert find_track(session, 1, number=1).wall_friction == 0.2
        with pytest.raises(NotFound):
            find_track(session, 1, number=3)
    assert [version.version_id for version in versions] == [
        second.track_version_id,
        first.track_version_id,
    ]


def test_new_name_of_a_track_is_no_new_version(book: BenchBook) -> None:
    renamed = save_track(book, "Long hill", "waxed", HILL, LATER, track_id=1)
    assert (renamed.name, renamed.note, renamed.number) == ("Long hill", "waxed", 1)
    assert renamed.created_at == NOW
    assert renamed.changed_at == LATER


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"track": Track(-1.0, (SlopePoint(0.0, 12.0),))}, "track.finish_at_m"),
        ({"track": Track(9.0)}, "track.slope_points"),
        ({"rolling_resistance": math.nan}, "rolling_resistance"),
        ({"wall_friction": 3.0}, "wall_friction"),
        ({"latitude_deg": 91.0}, "latitude_deg"),
        ({"altitude_m": 20_000.0}, "altitude_m"),
        ({"temperature_c": math.inf}, "temperature_c"),
    ],
)
def test_track_that_cannot_be_run_is_refused(
    book: BenchBook, change: dict[str, Any], where: str
) -> None:
    state = dataclasses.replace(HILL, **change)
    assert places(lambda: save_track(book, "Other", "", state, NOW)) == [where]
    assert len(list_tracks(book)) == 1


def test_weighing_keeps_every_reading(book: BenchBook) -> None:
    weigh_car(book, 1, [37.21, 37.24, 37.22], 0.01, LATER, note="twice level")
    weigh_car(book, 1, [36.0], 0.1, LATER, at=NOW - timedelta(days=9))
    shown = show_car(book, 1)
    assert [one.readings_g for one in shown.weighings] == [(37.21, 37.24, 37.22), (36.0,)]
    counts = list_bench(book).cars[0].weighing
    assert counts is not None
    assert counts.at == LATER
    # JCGM 100:2008, 4.2.3, F.2.2.1 and 5.1.2, by hand: s = 0.015275, sqrt(s²/3 + 0.01²/12).
    assert counts.estimate().value == pytest.approx(37.22333, abs=1e-5)
    assert counts.estimate().standard_uncertainty == pytest.approx(0.009280, abs=1e-6)


@pytest.mark.parametrize(
    ("readings_g", "resolution_g", "where"),
    [
        ([3700.0], 0.1, "readings_g"),
        ([37.0, -1.0], 0.1, "readings_g"),
        ([math.nan], 0.1, "readings_g"),
        ([], 0.1, "readings_g"),
        ([37.0] * 101, 0.1, "readings_g"),
        ([37.0], 0.0, "scale_resolution_g"),
        ([37.0], math.inf, "scale_resolution_g"),
    ],
)
def test_weighing_that_no_such_car_has_is_refused(
    book: BenchBook, readings_g: list[float], resolution_g: float, where: str
) -> None:
    assert places(lambda: weigh_car(book, 1, readings_g, resolution_g, NOW)) == [where]
    assert show_car(book, 1).weighings == ()


def test_slipped_decimal_point_is_told_with_the_reading(book: BenchBook) -> None:
    with pytest.raises(InvalidInput) as caught:
        weigh_car(book, 1, [37.0, 3700.0], 0.1, NOW)
    assert str(caught.value) == (
        "readings_g is 3700 g in reading 2; allowed is between 1 and 1000 g: "
        "check the decimal point and the unit."
    )


def test_latest_reading_counts_and_all_are_kept(book: BenchBook) -> None:
    measure_car(book, 1, {"wheelbase_mm": 42.0, "wheel_count": 4}, NOW)
    measure_car(book, 1, {"wheelbase_mm": 42.4}, LATER, resolutions={"wheelbase_mm": 0.1})
    measure_car(book, 1, {"wheelbase_mm": 41.0}, LATER, at=NOW - timedelta(days=1))
    shown = show_car(book, 1)
    assert shown.current["wheelbase_mm"].value == 42.4
    assert shown.current["wheelbase_mm"].resolution == 0.1
    assert len(shown.readings) == 4
    remove_thing(book, Kind.READING, shown.current["wheelbase_mm"].id, LATER)
    assert show_car(book, 1).current["wheelbase_mm"].value == 42.0


@pytest.mark.parametrize(
    ("values", "where"),
    [
        ({"wheelbase_mm": 0.0}, "wheelbase_mm"),
        ({"wheelbase_mm": math.nan}, "wheelbase_mm"),
        ({"bearing_friction": 2.5}, "bearing_friction"),
        ({"wheel_count": 3.5}, "wheel_count"),
        ({"wheel_count": math.inf}, "wheel_count"),
        ({"colour": 1.0}, "quantity"),
        ({"cg_ahead_of_rear_axle_mm": 45.0}, "cg_ahead_of_rear_axle_mm"),
        ({"wheelbase_mm": 15.0}, "wheelbase_mm"),
        ({"axle_diameter_mm": 12.0}, "axle_diameter_mm"),
        ({"wheel_mass_g": 12.0}, "wheel_mass_g"),
        ({"wheel_count": 20, "track_width_mm": 25.0}, "wheel_count"),
    ],
)
def test_reading_that_does_not_fit_the_car_is_refused_whole(
    book: BenchBook, values: dict[str, float], where: str
) -> None:
    known = {"wheelbase_mm": 42.0, "cg_ahead_of_rear_axle_mm": 20.0, "wheel_diameter_mm": 10.0}
    measure_car(book, 1, {**known, "wheel_mass_g": 2.0}, NOW)
    weigh_car(book, 1, [36.0], 0.1, NOW)
    assert places(lambda: measure_car(book, 1, values, LATER)) == [where]
    assert len(show_car(book, 1).readings) == 4


@pytest.mark.parametrize(
    ("time_s", "note", "where"),
    [
        (None, "clean", "finish_time_s"),
        (0.0, "clean", "finish_time_s"),
        (math.nan, "snag", "finish_time_s"),
        (5.0, "no finish", "finish_time_s"),
        (5.0, "splendid", "note"),
    ],
)
def test_run_that_contradicts_itself_is_refused(
    book: BenchBook, time_s: float | None, note: str, where: str
) -> None:
    assert places(lambda: note_run(book, 1, 1, time_s, note, NOW)) == [where]
    assert show_car(book, 1).runs == ()


def test_things_are_removed_and_brought_back(book: BenchBook) -> None:
    weighing = weigh_car(book, 1, [37.2], 0.1, NOW)
    (reading,) = measure_car(book, 1, {"drag_area_cm2": 4.2}, NOW)
    photo = add_photo(book, Subject(Kind.CAR, 1), picture(), NOW, caption="left side")
    run = note_run(book, 1, 1, None, "off track", NOW)
    things = [
        (Kind.WEIGHING, weighing.id, "One: 37.20 g"),
        (Kind.READING, reading.id, "One: drag area 4.2 cm2"),
        (Kind.PHOTO, photo.id, "One: left side"),
        (Kind.TIMED_RUN, run.id, "One on Hill: off track"),
        (Kind.CAR, 1, "One"),
        (Kind.TRACK, 1, "Hill"),
        (Kind.CASTING, 1, "Brindle"),
    ]
    for minute, (kind, id_, _) in enumerate(things):
        remove_thing(book, kind, id_, NOW + timedelta(minutes=minute))
        remove_thing(book, kind, id_, LATER)  # again: keeps its date
    told = list_removed(book)
    assert [(thing.kind, thing.id, thing.title) for thing in reversed(told)] == things
    assert told[0].removed_at == NOW + timedelta(minutes=6)
    assert (list_bench(book).cars, list_tracks(book)) == ((), ())
    for kind, id_, _ in things:
        restore_thing(book, kind, id_)
        restore_thing(book, kind, id_)
    assert list_removed(book) == ()
    assert len(show_car(book, 1).history()) == 4


def test_name_is_free_once_its_car_is_removed_and_must_be_free_to_return(book: BenchBook) -> None:
    remove_thing(book, Kind.CAR, 1, NOW)
    second = save_car(book, "Brindle", "ONE", "", NOW)
    assert places(lambda: restore_thing(book, Kind.CAR, 1)) == ["name"]
    save_car(book, "Brindle", "Another", "", NOW, car_id=second.id)
    restore_thing(book, Kind.CAR, 1)
    assert {one.car.name for one in list_bench(book).cars} == {"One", "Another"}


@pytest.mark.parametrize(
    "action",
    [
        lambda book: show_car(book, 99),
        lambda book: save_car(book, "B", "C", "", NOW, car_id=99),
        lambda book: save_track(book, "C", "", HILL, NOW, track_id=99),
        lambda book: save_casting(book, "C", "", NOW, casting_id=10**30),
        lambda book: weigh_car(book, 99, [37.0], 0.1, NOW),
        lambda book: measure_car(book, 99, {"drag_area_cm2": 4.0}, NOW),
        lambda book: note_run(book, 1, 99, 5.0, "clean", NOW),
        lambda book: note_run(book, 99, 1, 5.0, "clean", NOW),
        lambda book: add_photo(book, Subject(Kind.TRACK, 99), picture(), NOW),
        lambda book: remove_thing(book, Kind.PHOTO, 99, NOW),
        lambda book: restore_thing(book, Kind.READING, -1),
        lambda book: find_photo_file(book, "0" * 64),
        lambda book: find_photo_file(book, "../bench.db"),
    ],
)
def test_what_is_not_there_is_told(book: BenchBook, action: Callable[[BenchBook], object]) -> None:
    with pytest.raises(NotFound, match="There is no"):
        action(book)
    assert len(list_bench(book).cars) == 1


def test_photo_is_kept_and_found(book: BenchBook) -> None:
    photo = add_photo(book, Subject(Kind.CAR, 1), picture(), LATER, caption="side")
    again = add_photo(book, Subject(Kind.TRACK, 1), picture(), LATER)
    assert photo.sha256 == again.sha256
    assert (photo.car_id, photo.track_id, again.track_id) == (1, None, 1)
    path, media_type = find_photo_file(book, photo.sha256, 320)
    assert (path.exists(), media_type) == (True, "image/webp")
    assert list_bench(book).cars[0].photo == photo
    assert places(lambda: add_photo(book, Subject(Kind.CAR, 1), b"no", NOW)) == ["photo"]


def test_full_disk_keeps_no_photo(book: BenchBook, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(DiskFull, match="free some room"):
        add_photo(book, Subject(Kind.CAR, 1), picture(), NOW)
    assert show_car(book, 1).photos == ()


def test_read_only_bench_book_takes_nothing(book: BenchBook) -> None:
    book.read_only = True
    for action in (
        lambda: save_car(book, "B", "Two", "", NOW),
        lambda: add_photo(book, Subject(Kind.CAR, 1), picture(), NOW),
    ):
        with pytest.raises(ReadOnlyBenchBook, match=r"may only be read: allow writing"):
            action()
    assert not book.photo_folder.exists()


def test_time_without_a_zone_is_a_mistake_of_the_program(book: BenchBook) -> None:
    with pytest.raises(Exception, match="time zone"):
        save_car(book, "B", "Two", "", datetime(2026, 3, 1))  # noqa: DTZ001 (the mistake)
