"""Backup, export and import: the same bench comes back, and nothing else gets in."""

from __future__ import annotations

import hashlib
import io
import json
import shutil
import sqlite3
import tempfile
import threading
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from hillbench.errors import InvalidInput
from hillbench.records.about_store import mark_invented
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_file import FILE_SCHEMA, BenchFile
from hillbench.records.bench_rows import bench_from_rows
from hillbench.records.entities import Kind
from hillbench.records.errors import (
    BadArchive,
    BenchBookError,
    BenchNotEmpty,
    FileExists,
)
from hillbench.records.names import clean_name, clean_note
from hillbench.records.photo_files import photo_path
from hillbench.records.photo_store import Subject
from hillbench.usecases.add_photo import add_photo
from hillbench.usecases.back_up_bench import back_up_bench, free_name
from hillbench.usecases.export_bench import export_bench
from hillbench.usecases.find_photo_file import find_photo_file
from hillbench.usecases.import_bench import import_bench
from hillbench.usecases.list_bench import list_bench
from hillbench.usecases.measure_car import measure_car
from hillbench.usecases.note_run import note_run
from hillbench.usecases.remove_thing import remove_thing
from hillbench.usecases.save_car import save_car
from hillbench.usecases.weigh_car import weigh_car
from tests.records.write_released import fill

NOW = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)
Change = Callable[[dict[str, Any]], None]


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a bench book with something of everything."""
    folder = tmp_path_factory.mktemp("filled")
    with BenchBook.open(folder) as opened:
        fill(opened)
        content = io.BytesIO()
        Image.new("RGB", (64, 48), "green").save(content, "JPEG")
        add_photo(opened, Subject(Kind.CAR, 1), content.getvalue(), NOW, caption="side")
    return folder


@pytest.fixture
def book(filled: Path, tmp_path: Path) -> Iterator[BenchBook]:
    """A bench book with something of everything."""
    shutil.copytree(filled, tmp_path / "bench")
    with BenchBook.open(tmp_path / "bench") as opened:
        yield opened


@pytest.fixture(scope="module")
def exported_once(filled: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Its export."""
    with BenchBook.open(filled) as opened:
        return export_bench(opened, tmp_path_factory.mktemp("export") / "bench.zip", NOW).path


@pytest.fixture
def exported(exported_once: Path, tmp_path: Path) -> Path:
    """A copy of it that may be spoilt."""
    return Path(shutil.copy(exported_once, tmp_path / "bench.zip"))


@contextmanager
def empty_bench(folder: Path) -> Iterator[BenchBook]:
    with BenchBook.open(folder) as opened:
        yield opened


def everything(book: BenchBook) -> BenchFile:
    with book.read() as session:
        return bench_from_rows(session, "test", NOW)


def test_round_trip_gives_the_same_bench(book: BenchBook, exported: Path, tmp_path: Path) -> None:
    with empty_bench(tmp_path / "other") as other:
        told = import_bench(other, exported)
        assert (told.car_count, told.track_count, told.run_count, told.photo_count) == (3, 1, 4, 1)
        assert everything(other) == everything(book)
        assert list_bench(other) == list_bench(book)
        sha256 = everything(book).photos[0].sha256
        before, after = (
            photo_path(book.photo_folder, sha256),
            photo_path(other.photo_folder, sha256),
        )
        assert after.read_bytes() == before.read_bytes()
        assert find_photo_file(other, sha256, 320)[0].is_file()
        again = export_bench(other, tmp_path / "again.zip", NOW).path
    assert parts_of(again) == parts_of(exported)


def test_export_says_that_everything_is_invented(book: BenchBook, tmp_path: Path) -> None:
    with book.write() as session:
        mark_invented(session)
    path = export_bench(book, tmp_path / "demo.zip", NOW).path
    with empty_bench(tmp_path / "other") as other:
        import_bench(other, path)
        assert list_bench(other).invented


def storable(clean: Callable[[str], str]) -> st.SearchStrategy[str]:
    def keep(text: str) -> str | None:
        try:
            return clean(text)
        except InvalidInput:
            return None

    return st.text(max_size=30).map(keep).filter(lambda kept: kept is not None).map(str)


times = st.datetimes(datetime(1990, 1, 1), datetime(2100, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001 (bounds)
grams = st.floats(1.0, 1000.0)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    name=storable(clean_name),
    note=storable(clean_note),
    at=times,
    readings_g=st.lists(grams, min_size=1, max_size=6),
    wheelbase_mm=st.floats(0.001, 500.0),
    time_s=st.floats(0.01, 3600.0),
    removed=st.booleans(),
)
def test_round_trip_keeps_every_digit_and_letter(
    name: str,
    note: str,
    at: datetime,
    readings_g: list[float],
    wheelbase_mm: float,
    time_s: float,
    removed: bool,
) -> None:
    with tempfile.TemporaryDirectory() as place, empty_bench(Path(place) / "one") as book:
        fill(book)
        car = save_car(book, name, f"{name}!", note, at)
        weigh_car(book, car.id, readings_g, 0.01, at, note=note)
        measure_car(book, car.id, {"wheelbase_mm": wheelbase_mm}, at)
        run = note_run(book, 1, car.id, time_s, "snag", at)
        if removed:
            remove_thing(book, Kind.TIMED_RUN, run.id, at + timedelta(microseconds=1))
        path = export_bench(book, Path(place) / "bench.zip", at).path
        with empty_bench(Path(place) / "two") as other:
            import_bench(other, path)
            assert everything(other) == everything(book)


def test_import_into_a_bench_with_something_in_it(
    book: BenchBook, exported: Path, tmp_path: Path
) -> None:
    before = everything(book)
    with pytest.raises(BenchNotEmpty, match=r"already holds records.*--data FOLDER"):
        import_bench(book, exported)
    assert everything(book) == before
    with empty_bench(tmp_path / "other") as other:
        car = save_car(other, "Removed", "Removed", "", NOW)
        remove_thing(other, Kind.CAR, car.id, NOW)
        with pytest.raises(BenchNotEmpty):
            import_bench(other, exported)


def parts_of(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def write_parts(path: Path, parts: dict[str, bytes]) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return path


def with_sums(parts: dict[str, bytes]) -> dict[str, bytes]:
    """Return the parts with checksums that fit, as a forger would write them."""
    content = {name: part for name, part in parts.items() if name != "SHA256SUMS"}
    lines = [f"{hashlib.sha256(part).hexdigest()}  {name}\n" for name, part in content.items()]
    return {**content, "SHA256SUMS": "".join(lines).encode()}


def refuse(path: Path, folder: Path, told: str) -> None:
    """Import what must be refused whole, in one sentence."""
    with empty_bench(folder) as other:
        with pytest.raises(BadArchive, match=told) as caught:
            import_bench(other, path)
        assert "nothing was imported" in str(caught.value)
        assert "\n" not in str(caught.value)
        assert not other.photo_folder.exists()
        assert everything(other).castings == []


def test_export_cut_short_at_any_length_is_refused(exported: Path, tmp_path: Path) -> None:
    content = exported.read_bytes()
    for share in (0.0, 0.1, 0.5, 0.9, 0.999):
        path = tmp_path / "cut.zip"
        path.write_bytes(content[: int(share * len(content))])
        refuse(path, tmp_path / "other", "is damaged, or no zip file")


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_one_flipped_byte_never_gets_in_unseen(
    book: BenchBook, exported: Path, tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    content = bytearray(exported.read_bytes())
    place = data.draw(st.integers(0, len(content) - 1))
    content[place] ^= data.draw(st.integers(1, 255))
    folder = tmp_path_factory.mktemp("flipped")
    (folder / "bench.zip").write_bytes(content)
    with empty_bench(folder / "other") as other:
        try:
            import_bench(other, folder / "bench.zip")
        except BenchBookError:
            assert everything(other).castings == []
        else:  # a date or a flag in the zip's own headers carries nothing of the bench
            assert everything(other) == everything(book)


def test_parts_that_do_not_match_their_checksums(exported: Path, tmp_path: Path) -> None:
    parts = parts_of(exported)
    photo = next(name for name in parts if name.startswith("photos/"))
    longer = parts["bench.json"].replace(b"it's", b"its ")
    for name, content in ((photo, parts[photo] + b"x"), ("bench.json", longer)):
        path = write_parts(tmp_path / "bad.zip", {**parts, name: content})
        refuse(path, tmp_path / "other", "does not match its checksum")
    forged = with_sums({**parts, photo: parts[photo] + b"x"})
    refuse(write_parts(tmp_path / "b.zip", forged), tmp_path / "other", "does not match its name")


def test_photo_that_is_none_is_refused(exported: Path, tmp_path: Path) -> None:
    parts = parts_of(exported)
    photo = next(name for name in parts if name.startswith("photos/"))
    fake = b"<html>not a photo</html>"
    sha256 = hashlib.sha256(fake).hexdigest()
    bench = parts["bench.json"].replace(photo.removeprefix("photos/").encode(), sha256.encode())
    del parts[photo]
    parts = with_sums({**parts, "bench.json": bench, f"photos/{sha256}": fake})
    refuse(write_parts(tmp_path / "bad.zip", parts), tmp_path / "other", "a photo that is none")


@pytest.mark.parametrize(
    "name",
    ["../../evil.txt", "/etc/evil", "photos/../bench.db", "bench.db", "photos\\x", "photos/"],
)
def test_names_that_do_not_belong_there(exported: Path, tmp_path: Path, name: str) -> None:
    path = write_parts(tmp_path / "bad.zip", with_sums({**parts_of(exported), name: b"x"}))
    refuse(path, tmp_path / "other", "is no exported bench")
    assert not (tmp_path.parent / "evil.txt").exists()


def test_parts_that_are_missing(exported: Path, tmp_path: Path) -> None:
    parts = parts_of(exported)
    photo = next(name for name in parts if name.startswith("photos/"))
    for missing, told in (
        ("bench.json", "is no exported bench"),
        ("SHA256SUMS", "is no exported bench"),
        (photo, "does not hold the files that its list names"),
    ):
        fewer = {name: part for name, part in parts.items() if name != missing}
        refuse(write_parts(tmp_path / "bad.zip", fewer), tmp_path / "other", told)
    fewer = with_sums({name: part for name, part in parts.items() if name != photo})
    path = write_parts(tmp_path / "bad.zip", fewer)
    refuse(path, tmp_path / "other", "does not hold the photos that its bench names")


def test_zip_bomb_is_not_unpacked(
    exported: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("hillbench.records.bench_archive.LARGEST_BENCH_BYTES", 1_000_000)
    parts = parts_of(exported)
    parts["bench.json"] += b" " * 50_000_000
    path = write_parts(tmp_path / "bomb.zip", with_sums(parts))
    assert path.stat().st_size < 200_000
    refuse(path, tmp_path / "other", r"too large \(bench.json\)")


def set_schema(bench: dict[str, Any]) -> None:
    bench["file_schema"] = FILE_SCHEMA + 1
    bench["unknown_part"] = []


def set_deep(*path: Any, value: Any) -> Change:
    def change(bench: dict[str, Any]) -> None:
        part: Any = bench
        for step in path[:-1]:
            part = part[step]
        part[path[-1]] = value

    return change


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (set_schema, r"written by a newer Hillbench \(file schema 5\).*install the newer"),
        (set_deep("format", value="recipes"), "is no exported bench"),
        (set_deep("more", value=1), "something unexpected at more"),
        (set_deep("cars", 0, "id", value="one"), r"unexpected at cars\.0\.id"),
        (set_deep("cars", 0, "name", value="x" * 5000), "5000 characters long"),
        (set_deep("cars", 0, "name", value=" blank "), "text without blanks"),
        (set_deep("cars", 0, "casting_id", value=77), "contradicts itself"),
        (set_deep("cars", 1, "id", value=1), "contradicts itself"),
        (set_deep("cars", 2, "removed_at", value=None), None),
        (set_deep("cars", 2, "name", value="Grün ☂ 2"), None),
        (set_deep("weighings", 0, "readings_g", value=[3700.0]), "3700 g"),
        (set_deep("weighings", 0, "readings_g", value=[]), "something unexpected at weighings"),
        (set_deep("weighings", 0, "at", value="2026-03-01T18:00:00"), "something unexpected"),
        (set_deep("readings", 0, "quantity", value="colour"), "'colour'"),
        (set_deep("track_versions", 0, "geometry", "finish_at_m", value=-1), "track.finish_at_m"),
        (set_deep("track_versions", 0, "track_id", value=9), "without a version|a version of"),
        (set_deep("timed_runs", 0, "note", value="splendid"), "something unexpected"),
        (set_deep("timed_runs", 0, "finish_time_s", value=-1.0), "finish_time_s"),
        (set_deep("timed_runs", 0, "track_version_id", value=9), "a version of track 1"),
        (set_deep("photos", 0, "track_id", value=1), "contradicts itself"),
        (set_deep("forecasts", 0, "gain_s", value=0.5), "0.5 s outside its interval"),
        (set_deep("forecasts", 0, "time_s", value=-1.0), "forecasts.0..time_s"),
        (set_deep("forecasts", 0, "track_version_id", value=9), "a version of track 1"),
        (set_deep("forecasts", 0, "car_id", value=9), "contradicts itself"),
        (set_deep("forecasts", 0, "done_at", value="2025-01-01T00:00:00Z"), "after made_at"),
        (set_deep("photos", 0, "sha256", value="../x"), "something unexpected"),
    ],
)
def test_bench_that_the_app_would_not_have_let_in(
    exported: Path, tmp_path: Path, change: Change, told: str | None
) -> None:
    parts = parts_of(exported)
    bench = json.loads(parts["bench.json"])
    change(bench)
    parts["bench.json"] = json.dumps(bench).encode()
    path = write_parts(tmp_path / "changed.zip", with_sums(parts))
    if told is None:  # a change that is allowed
        with empty_bench(tmp_path / "other") as other:
            assert import_bench(other, path).car_count == 3
    elif told == "contradicts itself":  # found by the database, after the photos were kept
        with empty_bench(tmp_path / "other") as other:
            with pytest.raises(BadArchive, match=told):
                import_bench(other, path)
            assert everything(other).castings == []
    else:
        refuse(path, tmp_path / "other", told)


@pytest.mark.parametrize("number", [b"NaN", b"Infinity", b"1e999"])
def test_numbers_that_are_none(exported: Path, tmp_path: Path, number: bytes) -> None:
    parts = parts_of(exported)
    parts["bench.json"] = parts["bench.json"].replace(b'"value": 42.5', b'"value": ' + number)
    assert number in parts["bench.json"]
    path = write_parts(tmp_path / "bad.zip", with_sums(parts))
    refuse(path, tmp_path / "other", "something unexpected at readings")


def test_deeply_nested_json_is_refused(exported: Path, tmp_path: Path) -> None:
    parts = parts_of(exported)
    parts["bench.json"] = b"[" * 200_000 + b"]" * 200_000
    refuse(write_parts(tmp_path / "deep.zip", with_sums(parts)), tmp_path / "other", "damaged")


def test_file_that_is_not_there(tmp_path: Path) -> None:
    with (
        empty_bench(tmp_path / "other") as other,
        pytest.raises(BenchBookError, match=r"nothing.zip cannot be used \(no such file"),
    ):
        import_bench(other, tmp_path / "nothing.zip")


@pytest.mark.parametrize("write", [back_up_bench, lambda book, path: export_bench(book, path, NOW)])
def test_no_file_is_overwritten_and_none_left_half(
    book: BenchBook,
    tmp_path: Path,
    write: Callable[[BenchBook, Path], object],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    path = tmp_path / "mine.zip"
    path.write_text("mine")
    with pytest.raises(FileExists, match=r"is there already and was left as it is"):
        write(book, path)
    assert path.read_text() == "mine"

    def fail(*_arguments: object, **_more: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(zipfile.ZipFile, "writestr", fail)
    with pytest.raises(BenchBookError, match="is full"):
        write(book, tmp_path / "new.zip")
    assert sorted(left.name for left in tmp_path.iterdir()) == ["bench", "mine.zip"]


def test_lost_photo_file_is_counted(book: BenchBook, tmp_path: Path) -> None:
    photo_path(book.photo_folder, everything(book).photos[0].sha256).unlink()
    backup = back_up_bench(book, tmp_path / "backup.zip")
    export = export_bench(book, tmp_path / "export.zip", NOW)
    assert (backup.photo_count, backup.missing_photo_count) == (0, 1)
    assert (export.photo_count, export.missing_photo_count) == (0, 1)
    with empty_bench(tmp_path / "other") as other:
        assert import_bench(other, export.path).photo_count == 0


def test_backup_opens_as_it_was_also_while_others_write(book: BenchBook, tmp_path: Path) -> None:
    stop = threading.Event()

    def write() -> None:
        number = 0
        while not stop.is_set():
            weigh_car(book, 1, [37.0 + number % 100], 0.01, NOW)
            number += 1

    writer = threading.Thread(target=write)
    writer.start()
    try:
        paths = [back_up_bench(book, tmp_path / f"backup-{n}.zip").path for n in range(3)]
    finally:
        stop.set()
        writer.join()
    for number, path in enumerate(paths):
        folder = tmp_path / f"restored-{number}"
        with zipfile.ZipFile(path) as archive:
            assert archive.testzip() is None
            archive.extractall(folder)
        connection = sqlite3.connect(folder / "bench.db")
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        connection.close()
        with empty_bench(folder) as restored:
            assert len(list_bench(restored).cars) == 2
            assert find_photo_file(restored, everything(restored).photos[0].sha256)[0].is_file()


def test_default_name_is_free(tmp_path: Path) -> None:
    first = free_name(tmp_path, "backup", NOW)
    assert first.name == "hillbench-backup-2026-03-01.zip"
    first.write_text("")
    assert free_name(tmp_path, "backup", NOW).name == "hillbench-backup-2026-03-01-2.zip"
