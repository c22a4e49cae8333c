"""Tables of runs: guessed, confirmed, kept once; bad rows listed and corrected in place."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from hillbench.errors import InvalidInput, NotFound
from hillbench.records.entities import Kind, RunNote
from hillbench.timing.columns import Columns
from hillbench.usecases.import_runs import import_runs
from hillbench.usecases.read_pasted import PastedTable, read_pasted
from hillbench.usecases.remove_thing import remove_thing
from hillbench.usecases.show_outing import list_outings, show_outing
from tests.databases import ON_BOTH
from tests.usecases.outings import NOW, Clock, clock

pytestmark = ON_BOTH

TABLE = "car,time_s,lane,note\nSorrel,10.41,1,\nbramble,10.52,2,\nSorrel,,1,dnf\n"


@pytest.fixture
def two(tmp_path: Path) -> Iterator[Clock]:
    """A bench with two cars."""
    with clock(tmp_path) as made:
        yield made


def known(table: PastedTable) -> dict[str, int]:
    return {name: car_id for name, car_id in table.car_ids.items() if car_id is not None}


def columns_of(table: PastedTable) -> Columns:
    assert table.reading is not None
    return table.reading.columns


def times(two: Clock, outing_id: int) -> list[tuple[str, float | None, str | None]]:
    view = show_outing(two.book, outing_id, np.random.default_rng(1))
    return [(one.label, one.run.finish_time_s, one.run.lane) for one in view.runs]


def test_table_is_read_and_kept(two: Clock) -> None:
    table = read_pasted(two.book, TABLE)
    assert table.car_ids == {"Sorrel": two.car_ids[0], "bramble": two.car_ids[1]}
    assert table.heading == ("car", "time_s", "lane", "note")
    assert (table.remembered, table.problems) == (False, ())
    done = import_runs(two.book, two.track_id, TABLE, columns_of(table), known(table), NOW)
    assert (done.kept_count, done.repeated_count, done.problems) == (3, 0, ())
    kept = times(two, done.outing_ids[0])
    assert kept == [("Sorrel", 10.41, "1"), ("Bramble", 10.52, "2"), ("Sorrel", None, "1")]
    view = show_outing(two.book, done.outing_ids[0], np.random.default_rng(1))
    assert view.runs[2].run.note is RunNote.NO_FINISH
    assert view.comparison is not None


@pytest.mark.parametrize(
    "data",
    [
        "\ufeffName;Zeit (s)\nSorrel;10,41\nBramble;10,52\n".encode(),
        "Name\tTime\nSorrel\t0:10.41\nBramble\t10.52 s\n",
        '"car","time (ms)"\r\n"Sorrel","10410"\r\n"Bramble","10520"\r\n',
        "Sorrel 10.41\nBramble 10.52\n",
        "Name;Zeit\nSorrel;10,41\nBramble;10,52\n".encode("utf-16"),
    ],
)
def test_ways_in_which_a_table_comes(two: Clock, data: bytes | str) -> None:
    table = read_pasted(two.book, data)
    done = import_runs(two.book, two.track_id, data, columns_of(table), known(table), NOW)
    kept = [(car, round(time_s or 0.0, 9)) for car, time_s, _ in times(two, done.outing_ids[0])]
    assert kept == [("Sorrel", 10.41), ("Bramble", 10.52)]


def test_bad_rows_are_listed_and_corrected_in_place(two: Clock) -> None:
    bad = "car,time_s\nSorrel,10.41\nBramble,ten\nSorrel,1039\nNobody,10.6\nBramble,10.50\n"
    table = read_pasted(two.book, bad)
    cars = known(table)
    assert table.car_ids["Nobody"] is None
    done = import_runs(
        two.book, two.track_id, bad, columns_of(table), cars, NOW, import_key="paste-1"
    )
    assert done.kept_count == 2
    told = [problem.sentence() for problem in done.problems]
    assert len(told) == 3
    assert any("row 3" in one and "ten" in one for one in told)
    assert any("row 4" in one and "was 10.39 s meant?" in one for one in told)
    assert any("row 5" in one and "'Nobody'" in one for one in told)
    good = bad.replace("ten", "10.55").replace("1039", "10.39").replace("Nobody", "Bramble")
    again = import_runs(
        two.book, two.track_id, good, columns_of(table), cars, NOW, import_key="paste-1"
    )
    assert (again.kept_count, again.repeated_count, again.problems) == (3, 2, ())
    assert again.outing_ids == done.outing_ids
    assert sorted(time_s for _, time_s, _ in times(two, done.outing_ids[0]) if time_s) == [
        10.39,
        10.41,
        10.50,
        10.55,
        10.6,
    ]


def test_far_times_may_be_confirmed(two: Clock) -> None:
    table = "car,time_s\nSorrel,10.41\nBramble,45.2\nSorrel,10.44\n"
    columns = Columns(time=1, car=0)
    cars = {"Sorrel": two.car_ids[0], "Bramble": two.car_ids[1]}
    done = import_runs(two.book, two.track_id, table, columns, cars, NOW, confirmed=True)
    assert done.kept_count == 3


def test_same_table_twice_is_kept_once_and_what_was_removed_stays_away(two: Clock) -> None:
    table = read_pasted(two.book, TABLE)
    first = import_runs(two.book, two.track_id, TABLE, columns_of(table), known(table), NOW)
    view = show_outing(two.book, first.outing_ids[0], np.random.default_rng(1))
    remove_thing(two.book, Kind.TIMED_RUN, view.runs[0].run.id, NOW)
    again = import_runs(two.book, two.track_id, TABLE, columns_of(table), known(table), NOW)
    assert (again.kept_count, again.repeated_count) == (0, 3)
    assert again.outing_ids == first.outing_ids
    assert len(times(two, first.outing_ids[0])) == 2


def test_columns_are_remembered_by_their_headings(two: Clock) -> None:
    odd = "a;b;c\n9,71;7;Sorrel\n9,82;8;Bramble\n9,75;9;Sorrel\n"
    # As the user says: the times stand under b, however unlikely.
    columns = Columns(time=1, car=2)
    cars = {"Sorrel": two.car_ids[0], "Bramble": two.car_ids[1]}
    import_runs(two.book, two.track_id, odd, columns, cars, NOW)
    table = read_pasted(two.book, "A ; B;c\n9,9;10;Sorrel\n9,9;11;Bramble\n")
    assert table.remembered
    assert columns_of(table) == columns
    other = read_pasted(two.book, "x;y;z\n9,9;10;Sorrel\n9,9;11;Bramble\n")
    assert not other.remembered


def test_outings_by_their_day(two: Clock) -> None:
    table = (
        "car,time_s,outing,order\n"
        "Sorrel,10.42,2026-02-11,2\nSorrel,10.41,2026-02-11,1\nSorrel,10.60,2026-02-04,1\n"
    )
    columns = columns_of(read_pasted(two.book, table))
    cars = {"Sorrel": two.car_ids[0]}
    done = import_runs(two.book, two.track_id, table, columns, cars, NOW)
    first, second = done.outing_ids
    assert [time_s for _, time_s, _ in times(two, first)] == [10.41, 10.42]
    begun = {one.outing.id: one.outing.begun_at for one in list_outings(two.book)}
    assert begun[first] == datetime(2026, 2, 11, tzinfo=UTC)
    assert begun[second] == datetime(2026, 2, 4, tzinfo=UTC)


def test_many_rows_with_one_that_is_wrong(two: Clock) -> None:
    rows = "".join(f"Sorrel,{10.0 + 0.0001 * (n % 5000):.4f}\n" for n in range(5_000))
    table = "car,time_s\n" + rows + "Sorrel,ten\n"
    cars = {"Sorrel": two.car_ids[0]}
    done = import_runs(two.book, two.track_id, table, Columns(time=1, car=0), cars, NOW)
    assert done.kept_count == 5_000
    assert [problem.where for problem in done.problems] == ["row 5002, time"]
    counts = {one.outing.id: one.run_count for one in list_outings(two.book)}
    assert counts[done.outing_ids[0]] == 5_000


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "empty"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "no text"),
        ("car,time_s\n", "without a run"),
        ("car,time_s\nSorrel,ten\n", "row 2"),
        ('car,time_s\n"Sorrel,10.4\n', "unreadable in line"),
    ],
)
def test_what_is_no_table_changes_nothing(two: Clock, data: bytes | str, told: str) -> None:
    cars = {"Sorrel": two.car_ids[0]}
    before = list_outings(two.book)
    with pytest.raises(InvalidInput, match=told):
        import_runs(two.book, two.track_id, data, Columns(time=1, car=0), cars, NOW)
    assert list_outings(two.book) == before


def test_columns_that_cannot_be_guessed_are_asked_for(two: Clock) -> None:
    table = read_pasted(two.book, "a;b\nx;y\nx;y\n")
    assert table.reading is None
    assert "name the columns" in table.problems[0].sentence()
    assert table.sample[1] == (2, ("x", "y"))


def test_track_or_car_that_is_not_there(two: Clock) -> None:
    columns = Columns(time=1, car=0)
    for track_id, car_id in ((99, two.car_ids[0]), (two.track_id, 99)):
        with pytest.raises(NotFound):
            import_runs(two.book, track_id, TABLE, columns, {"Sorrel": car_id}, NOW)
    assert [one.outing.id for one in list_outings(two.book)] == [two.outing_id]
    assert list_outings(two.book)[0].outing.begun_at == NOW + timedelta(0)
