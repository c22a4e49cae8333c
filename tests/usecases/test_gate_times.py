"""Gate times are kept with their run, checked, kept when it is edited, and read from tables."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from hillbench.coasting.track import SlopePoint, Track
from hillbench.errors import InvalidInput
from hillbench.records import outing_store, run_edit_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_rows import bench_from_rows
from hillbench.records.entities import TimedRun
from hillbench.timing.line_rule import Field, mark_text, read_line
from hillbench.usecases.begin_outing import begin_outing
from hillbench.usecases.enter_run import edit_run, enter_run
from hillbench.usecases.export_bench import export_bench
from hillbench.usecases.gather_runs import gather_runs
from hillbench.usecases.import_bench import import_bench
from hillbench.usecases.import_runs import import_runs
from hillbench.usecases.read_pasted import read_pasted
from hillbench.usecases.save_track import save_track
from hillbench.usecases.take_line import learn_rule, take_times
from tests.usecases.hill_runs import STATE, add_car, days

GATED = dataclasses.replace(
    STATE,
    track=Track(8.0, (SlopePoint(0.0, 14.0), SlopePoint(8.0, 3.0)), gates_at_m=(3.0, 5.5)),
)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[BenchBook]:
    """A hill with two gates (1), a car (1) and an outing (1)."""
    with BenchBook.open(tmp_path / "bench") as opened:
        save_track(opened, "Gate Hill", "", GATED, days(0))
        add_car(opened, "Copper", 36.0)
        begin_outing(opened, 1, (1,), 1, days(1))
        yield opened


def runs_of(book: BenchBook, outing_id: int = 1) -> list[TimedRun]:
    with book.read() as session:
        return list(outing_store.list_outing_runs(session, [outing_id]))


def test_gate_times_go_with_the_run_into_the_fit(book: BenchBook) -> None:
    enter_run(book, 1, 1, 5.0, "clean", days(1), gate_times_s=(2.1, None))
    enter_run(book, 1, 1, None, "off track", days(1), gate_times_s=(2.0, 3.4))
    enter_run(book, 1, 1, 5.1, "clean", days(1), gate_times_s=(None, None))
    assert [run.gate_times_s for run in runs_of(book)] == [(2.1, None), (2.0, 3.4), ()]
    evidence = gather_runs(book, 1, days(2)).evidence
    assert [run.gate_times_s for run in evidence.runs] == [(2.1, None), (2.0, 3.4), ()]


@pytest.mark.parametrize(
    ("gates", "finish_s", "told"),
    [
        ((2.1,), 5.0, "a list of 1; allowed is 2 times, one for each gate"),
        ((3.0, 2.0), 5.0, "2 s at gate 2; allowed is after gate 1 (3 s)"),
        ((2.0, 5.0), 5.0, "5 s at gate 2; allowed is before the finish (5 s)"),
        ((0.0, 3.0), 5.0, "0 s at gate 1; allowed is between 0.001 and 3600 s"),
        ((float("nan"), 3.0), 5.0, "nan s at gate 1"),
    ],
)
def test_gate_times_that_cannot_be_are_refused(
    book: BenchBook, gates: tuple[float, ...], finish_s: float, told: str
) -> None:
    with pytest.raises(InvalidInput) as caught:
        enter_run(book, 1, 1, finish_s, "clean", days(1), gate_times_s=gates)
    assert len(caught.value.problems) == 1
    assert told in caught.value.problems[0].sentence()
    assert runs_of(book) == []


def test_an_edit_keeps_the_gates_and_what_they_were(book: BenchBook) -> None:
    run = enter_run(book, 1, 1, 5.0, "clean", days(1), gate_times_s=(2.1, 3.4))
    assert edit_run(book, run.id, 1, 5.2, "snag", days(2)).gate_times_s == (2.1, 3.4)
    with pytest.raises(InvalidInput, match="before the finish"):
        edit_run(book, run.id, 1, 3.3, "clean", days(2), confirmed=True)
    edited = edit_run(book, run.id, 1, 5.2, "snag", days(2), gate_times_s=(2.2, None))
    assert edited.gate_times_s == (2.2, None)
    assert edit_run(book, run.id, 1, 5.2, "snag", days(3), gate_times_s=()).gate_times_s == ()
    with book.read() as session:
        edits = run_edit_store.list_run_edits(session, [run.id])[run.id]
    assert [one.gate_times_s for one in edits] == [(2.1, 3.4), (2.1, 3.4), (2.2, None)]


def test_gates_are_those_of_the_track_as_it_was(book: BenchBook) -> None:
    run = enter_run(book, 1, 1, 5.0, "clean", days(1), gate_times_s=(2.1, 3.4))
    rebuilt = dataclasses.replace(GATED, track=dataclasses.replace(GATED.track, gates_at_m=(4.0,)))
    save_track(book, "Gate Hill", "", rebuilt, days(2), track_id=1)
    assert edit_run(book, run.id, 1, 5.0, "snag", days(3)).gate_times_s == (2.1, 3.4)
    later = begin_outing(book, 1, (1,), 1, days(4))
    enter_run(book, later.id, 1, 5.0, "clean", days(4), gate_times_s=(2.7,))
    assert gather_runs(book, 1, days(5)).evidence.runs[0].gate_times_s == (2.7,)


def test_a_table_with_gates_is_read(book: BenchBook) -> None:
    table = (
        "car,gate 2,gate 1 (s),time_s,note\nCopper,3.41,2.10,5.01,\nCopper,,2.12,5.02,\n"
        "Copper,3.3,–,dnf,off\nCopper,2.0,3.0,5.03,\n"
    )
    read = read_pasted(book, table)
    assert read.reading is not None
    columns = read.reading.columns
    assert (columns.time, columns.gates) == (3, (2, 1))
    done = import_runs(book, 1, table, columns, {"Copper": 1}, days(2))
    kept = runs_of(book, done.outing_ids[0])
    assert [run.gate_times_s for run in kept] == [(2.10, 3.41), (2.12, None), (None, 3.3)]
    assert [problem.where for problem in done.problems] == ["row 5, gates[1]"]
    # What was confirmed is remembered, gates as well.
    again = read_pasted(book, table)
    assert again.remembered
    assert again.reading is not None
    assert again.reading.columns == columns


def test_a_timer_that_writes_gates_is_learned(book: BenchBook) -> None:
    line = "L1 g 2.101 3.402 f 5.003"
    marks = [
        mark_text(line, Field.TIME, "5.003"),
        mark_text(line, Field.GATE, "2.101"),
        mark_text(line, Field.GATE, "3.402"),
    ]
    rule = learn_rule(book, "shed", [line], marks, days(1))
    times = read_line(rule, "L1 g 2.200 0.000 f 5.100")
    assert times is not None
    assert (times[0].time_s, times[0].gate_times_s) == (5.1, (2.2, None))
    take_times(book, 1, times, days(1), entry_key="line-1")
    assert runs_of(book)[0].gate_times_s == (2.2, None)


def test_gates_are_shared_out_among_the_times_of_a_line(book: BenchBook) -> None:
    line = "A 2.1 5.1 B 2.2 5.2"
    parts = [(Field.GATE, "2.1"), (Field.TIME, "5.1"), (Field.GATE, "2.2"), (Field.TIME, "5.2")]
    rule = learn_rule(book, "two", [line], [mark_text(line, *part) for part in parts], days(1))
    times = read_line(rule, line)
    assert times is not None
    assert [time.gate_times_s for time in times] == [(2.1,), (2.2,)]
    odd = [mark_text(line, *part) for part in parts if part[1] != "2.2"]
    with pytest.raises(InvalidInput, match="equally many gates"):
        learn_rule(book, "odd", [line], odd, days(1))


def test_export_and_import_keep_gates_and_refuse_false_ones(
    book: BenchBook, tmp_path: Path
) -> None:
    run = enter_run(book, 1, 1, 5.0, "clean", days(1), gate_times_s=(2.1, None))
    edit_run(book, run.id, 1, 5.0, "clean", days(2), gate_times_s=(2.2, 3.4))
    exported = export_bench(book, tmp_path / "bench.zip", days(3)).path
    with BenchBook.open(tmp_path / "other") as other:
        import_bench(other, exported)
        with other.read() as there, book.read() as here:
            now = days(4) + timedelta(hours=1)
            copied, first = bench_from_rows(there, "", now), bench_from_rows(here, "", now)
    assert copied == first
    assert copied.run_edits[0].gate_times_s == [2.1, None]
