"""A table of runs, from a file or a spreadsheet, as timed runs and a list of what is wrong."""

from __future__ import annotations

import re
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.errors import InvalidInput, Problem
from hillbench.timing.columns import Columns, guess_columns
from hillbench.timing.run import RunNote, TimedRun
from hillbench.timing.table import decode, split
from hillbench.timing.time_text import parse_time, says_nothing, says_unfinished

FAR_FROM_OTHERS: Final = 3.0
"""Ratio to the median time, either way, from which a time is put in question."""

_NOTES: Final = (
    (
        RunNote.NO_FINISH,
        re.compile(r"no finish|did not finish|\bdnf\b|\bnf\b|stopped", re.IGNORECASE),
    ),
    (RunNote.OFF_TRACK, re.compile(r"\boff\b|left the track|flew", re.IGNORECASE)),
    (RunNote.SNAG, re.compile(r"snag|stuck|caught|bump|touch|hit\b|wobbl", re.IGNORECASE)),
)
_LONGEST_NAME: Final = 80


@dataclass(frozen=True, slots=True)
class Reading:
    """What a table holds.

    Attributes
    ----------
    runs
        Rows that can be used, in the order of the table.
    problems
        Rows that were set aside, each with what is wrong; ``row N`` counts lines from 1.
    questions
        Rows that are used, and look doubtful.
    columns
        Which column was taken for what.
    """

    runs: tuple[TimedRun, ...]
    problems: tuple[Problem, ...]
    questions: tuple[Problem, ...]
    columns: Columns


def read_runs(
    data: bytes | str,
    columns: Columns | None = None,
    *,
    where: str = "file",
    confirmed: bool = False,
) -> Reading:
    """Return the runs in a table, and what is wrong with the other rows.

    Parameters
    ----------
    data
        A CSV file, or text pasted from a spreadsheet; one row a run, in the order run.
    columns
        Which column is what; guessed from heading and cells if not given.
    where
        Name of the file or field, for messages about the whole.
    confirmed
        Whether the user has seen the times far from all others and wants them in.

    Raises
    ------
    InvalidInput
        If it is no table, or no column can be the time or the car.
    """
    text = decode(data, where) if isinstance(data, bytes) else data.removeprefix("\ufeff")
    rows = split(text, where)
    if columns is None:
        columns = guess_columns([cells for _, cells in rows[:201]], where)
    runs: list[TimedRun] = []
    problems: list[Problem] = []
    questions: list[Problem] = []
    before: list[str] | None = None
    for number, cells in rows[1:] if columns.has_heading else rows:
        repeated, before = cells == before, cells
        try:
            run = _read_row(number, cells, columns)
        except InvalidInput as invalid:
            problems.extend(invalid.problems)
            continue
        doubt = _doubled(run, runs) if repeated else None
        if doubt is not None:
            problem, sure = doubt
            (problems if sure else questions).append(problem)
        if doubt is None or not sure:
            runs.append(run)
    kept, far = (runs, []) if confirmed else _set_far_aside(runs)
    return Reading(tuple(kept), tuple(problems) + tuple(far), tuple(questions), columns)


def _read_row(number: int, cells: Sequence[str], columns: Columns) -> TimedRun:
    def cell(column: int | None) -> str:
        return cells[column].strip() if column is not None and column < len(cells) else ""

    where = f"row {number}"
    car, written = cell(columns.car), cell(columns.time)
    if not car or len(car) > _LONGEST_NAME:
        allowed = f"a name of 1 to {_LONGEST_NAME} characters"
        raise InvalidInput([Problem(f"{where}, car", repr(car), allowed, "name the car")])
    note = read_note(cell(columns.note))
    gone = note in (RunNote.NO_FINISH, RunNote.OFF_TRACK)
    if says_unfinished(written):
        time_s, note = None, note if gone else RunNote.NO_FINISH
    elif says_nothing(written) and gone:
        time_s = None
    else:
        time_s = parse_time(written, f"{where}, time", unit=columns.time_unit)
        if note is RunNote.NO_FINISH:
            seen = f"{written} with the note no finish"
            raise InvalidInput([Problem(f"{where}, time", seen, "one of the two", "leave one out")])
    gates = tuple(
        _read_gate(cell(column), f"{where}, gate {number}", columns.time_unit)
        for number, column in enumerate(columns.gates, start=1)
    )
    return TimedRun(
        car=car,
        time_s=time_s,
        lane=cell(columns.lane) or None,
        outing=cell(columns.outing) or None,
        order=_read_order(cell(columns.order), where),
        note=note,
        row=number,
        gate_times_s=gates if any(time is not None for time in gates) else (),
    )


def _read_gate(written: str, where: str, unit: str) -> float | None:
    """Return one gate time; None for one that was not taken."""
    if says_nothing(written) or says_unfinished(written):
        return None
    return parse_time(written, where, unit=unit)


def read_note(text: str) -> RunNote:
    """Return what a remark says about the run; words that say nothing known mean clean."""
    return next((note for note, pattern in _NOTES if pattern.search(text)), RunNote.CLEAN)


def _read_order(text: str, where: str) -> float | None:
    if says_nothing(text):
        return None
    if not re.fullmatch(r"-?\d{1,9}(?:[.,]\d{1,6})?", text):
        allowed = "a number, or nothing"
        raise InvalidInput([Problem(f"{where}, order", repr(text), allowed, "number the runs")])
    return float(text.replace(",", "."))


def _doubled(run: TimedRun, runs: Sequence[TimedRun]) -> tuple[Problem, bool] | None:
    """Return the doubt about a row that repeats the one before word for word.

    With its number of order, or to the thousandth of a second, it can only be the same line
    sent twice; a time to the hundredth may well come twice.
    """
    if not runs or run.time_s is None or runs[-1].row is None:
        return None
    fine = abs(run.time_s * 100.0 - round(run.time_s * 100.0)) > 1e-6
    seen = f"the same as row {runs[-1].row}, word for word"
    allowed = "one row for each run"
    if run.order is not None or fine:
        remedy = "counted once; if the car ran twice, give the second run a number of its own"
        return Problem(f"row {run.row}", seen, allowed, remedy), True
    return Problem(f"row {run.row}", seen, allowed, "counted; did the car run twice?"), False


def _set_far_aside(runs: Sequence[TimedRun]) -> tuple[list[TimedRun], list[Problem]]:
    """Return the runs without times far from all others, and a question about each of these."""
    times = [run.time_s for run in runs if run.time_s is not None]
    if len(times) < 2:
        return list(runs), []
    middle = statistics.median_low(times)
    kept, problems = [], []
    for run in runs:
        ratio = 1.0 if run.time_s is None else run.time_s / middle
        if 1.0 / FAR_FROM_OTHERS < ratio < FAR_FROM_OTHERS:
            kept.append(run)
        else:
            problems.append(_far_problem(run, middle))
    return kept, problems


def _far_problem(run: TimedRun, middle_s: float) -> Problem:
    time_s = run.time_s or 0.0
    shifted = [time_s * power for power in (0.001, 0.01, 0.1, 10.0, 100.0)]
    near = [time for time in shifted if 0.7 < time / middle_s < 1.4]
    remedy = f"was {near[0]:.2f} s meant?" if near else "type it again, or note what went wrong"
    allowed = f"near the others on this track (half of them under {middle_s:.2f} s)"
    return Problem(f"row {run.row}, time", f"{time_s:g} s", allowed, remedy)


def without_repeats(lines: Sequence[str]) -> tuple[list[str], list[int]]:
    """Return a timer's lines without those it sent twice in a row, and which these were.

    Parameters
    ----------
    lines
        Lines as they came, without their ends.

    Returns
    -------
    lines, places
        The lines to use, and the places, from 0, of those left out.
    """
    kept, places = [], []
    for place, line in enumerate(lines):
        if place and line.strip() and line.strip() == lines[place - 1].strip():
            places.append(place)
        else:
            kept.append(line)
    return kept, places
