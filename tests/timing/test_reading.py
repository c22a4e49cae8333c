"""Tables of runs, good and bad."""

from __future__ import annotations

import random
from time import perf_counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.errors import InvalidInput
from hillbench.timing.columns import Columns
from hillbench.timing.reading import read_note, read_runs, without_repeats
from hillbench.timing.run import RunNote

PLAIN = "car,time_s\nBlue,10.41\nRed,10.39\nBlue,10.44\n"


def _times(data: bytes | str) -> list[tuple[str, float | None]]:
    return [(run.car, run.time_s) for run in read_runs(data).runs]


EXPECTED = [("Blue", 10.41), ("Red", 10.39), ("Blue", 10.44)]


@pytest.mark.parametrize(
    "data",
    [
        PLAIN,
        PLAIN.encode(),
        b"\xef\xbb\xbf" + PLAIN.encode(),
        PLAIN.encode("utf-16"),
        PLAIN.replace("\n", "\r\n"),
        PLAIN.replace(",", ";").replace(".", ","),
        PLAIN.replace(",", "\t"),
        '"car","time_s"\n"Blue","10,41"\n"Red","10,39"\n"Blue","10,44"\n',
        "Time (s);Name\n10,41;Blue\n10,39;Red\n10,44;Blue\n",
        "racer | elapsed ms\nBlue | 10410\nRed | 10390\nBlue | 10440\n",
        "Blue,10.41\nRed,10.39\nBlue,10.44\n",
        "Blue 10.41\nRed 10.39\nBlue 10.44\n",
        "car,time_s\n\nBlue,10.41\n,\nRed,10.39\n\nBlue,10.44",
    ],
)
def test_the_same_runs_in_many_tables(data: bytes | str) -> None:
    got = _times(data)
    assert [car for car, _ in got] == [car for car, _ in EXPECTED]
    assert [time for _, time in got] == pytest.approx([time for _, time in EXPECTED])


def test_the_guess_is_told_and_can_be_corrected() -> None:
    table = "when,driver,a,b\n1,Blue,10.41,3\n2,Red,10.39,4\n"
    guess = read_runs(table).columns
    assert (guess.time, guess.car) == (2, 1)
    runs = read_runs(table, Columns(time=2, car=1, lane=3, order=0)).runs
    assert [(run.lane, run.order) for run in runs] == [("3", 1.0), ("4", 2.0)]


def test_windows_encoding_and_further_columns() -> None:
    table = "Wagen;Zeit;Bahn;Bemerkung\nGrün;10,41;1;touched the wall\nRot;;2;did not finish\n"
    first, second = read_runs(table.encode("cp1252")).runs
    assert (first.car, first.lane, first.note) == ("Grün", "1", RunNote.SNAG)
    assert (second.time_s, second.note) == (None, RunNote.NO_FINISH)


@pytest.mark.parametrize("written", ["", "-10.4", "0", "1e12", "soon", "10.4.4", "nan"])
def test_a_bad_row_is_listed_and_the_others_are_kept(written: str) -> None:
    reading = read_runs(PLAIN + f"Red,{written}\nRed,10.40\n")
    assert len(reading.runs) == 4
    assert len(reading.problems) == 1
    assert reading.problems[0].where == "row 5, time"


def test_a_thousand_typed_for_ten_is_asked_about() -> None:
    reading = read_runs(PLAIN + "Red,1000\n")
    assert len(reading.runs) == 3
    assert reading.problems[0].sentence().endswith("was 10.00 s meant?")
    assert len(read_runs(PLAIN + "Red,1000\n", confirmed=True).runs) == 4


def test_a_row_without_car_and_an_order_that_is_no_number() -> None:
    reading = read_runs("car,time_s,order\n,10.4,1\nRed,10.4,first\nRed,10.5,3\n")
    assert [problem.where for problem in reading.problems] == ["row 2, car", "row 3, order"]
    assert len(reading.runs) == 1


@pytest.mark.parametrize(
    ("table", "runs", "problems", "questions"),
    [
        ("car,time_s\nA,10.412\nA,10.412\n", 1, 1, 0),
        ("car,time_s,order\nA,10.41,1\nA,10.41,1\n", 1, 1, 0),
        ("car,time_s\nA,10.41\nA,10.41\n", 2, 0, 1),
        ("car,time_s\nA,10.412\nB,10.412\nA,10.412\n", 3, 0, 0),
    ],
)
def test_a_line_sent_twice(table: str, runs: int, problems: int, questions: int) -> None:
    reading = read_runs(table)
    assert (len(reading.runs), len(reading.problems), len(reading.questions)) == (
        runs,
        problems,
        questions,
    )


def test_a_timer_that_repeats_its_lines() -> None:
    lines = ["L1 10.412", "L1 10.412 ", "L2 10.398", "L1 10.412"]
    assert without_repeats(lines) == (["L1 10.412", "L2 10.398", "L1 10.412"], [1])


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\n\n",
        bytes(range(256)) * 40,
        b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR",
        b"PK\x03\x04\x14\x00\x06\x00" * 50,
        random.Random(3).randbytes(5000),
        b'car,time_s\n"A,10.4\n',
        b"\xff\xfe\x00",
        b"just some words\nand more of them here\n",
        b"a,b\nx,y\n",
    ],
)
def test_what_is_no_table_is_refused_in_one_sentence(data: bytes) -> None:
    with pytest.raises(InvalidInput) as refused:
        read_runs(data)
    assert len(refused.value.problems) == 1
    assert "\n" not in refused.value.problems[0].sentence()


@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    try:
        reading = read_runs(data)
    except InvalidInput:
        return
    for run in reading.runs:
        assert run.time_s is None or run.time_s > 0.0


def test_a_hundred_thousand_rows() -> None:
    rows = "".join(f"C{row % 4},{10 + row % 97 / 100:.2f}\n" for row in range(100_000))
    started = perf_counter()
    reading = read_runs(("car,time_s\n" + rows).encode())
    assert perf_counter() - started < 5.0
    assert len(reading.runs) == 100_000
    assert reading.problems == ()


@pytest.mark.parametrize(
    ("text", "note"),
    [
        ("", RunNote.CLEAN),
        ("new axle grease", RunNote.CLEAN),
        ("clean", RunNote.CLEAN),
        ("no finish", RunNote.NO_FINISH),
        ("DNF", RunNote.NO_FINISH),
        ("off track in bend 2", RunNote.OFF_TRACK),
        ("Snag", RunNote.SNAG),
    ],
)
def test_remarks(text: str, note: RunNote) -> None:
    assert read_note(text) is note
