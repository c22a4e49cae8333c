"""Read a pasted or uploaded table of runs: guess, to be confirmed before anything is kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final

from sqlalchemy.orm import Session

from hillbench.errors import InvalidInput, Problem
from hillbench.records import car_store, import_rule_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.names import name_key
from hillbench.records.outing_entities import RuleKind
from hillbench.timing.columns import Columns
from hillbench.timing.reading import Reading, read_runs
from hillbench.timing.table import decode, split

SAMPLE_ROWS: Final = 8
"""How many rows are shown for the columns to be confirmed."""


@dataclass(frozen=True, slots=True)
class PastedTable:
    """A table as it was understood; nothing of it is kept yet.

    Attributes
    ----------
    reading
        Runs, problems, questions and columns; None where the columns must be named first.
    heading
        Cells of the first row.
    sample
        The first rows, each with the number of its line.
    car_ids
        Which car each name in the table is, by the names in use; None for an unknown one.
    remembered
        Whether the columns were confirmed for such a table before.
    problems
        What is wrong with the columns where they could not be guessed.
    """

    reading: Reading | None
    heading: tuple[str, ...]
    sample: tuple[tuple[int, tuple[str, ...]], ...]
    car_ids: dict[str, int | None]
    remembered: bool
    problems: tuple[Problem, ...]


def read_pasted(
    book: BenchBook, data: bytes | str, *, columns: Columns | None = None
) -> PastedTable:
    """Return what a table holds.

    Parameters
    ----------
    data
        A file, or text pasted from a spreadsheet.
    columns
        Which column is what, as the user says; as remembered, else guessed, where None.

    Raises
    ------
    InvalidInput
        If it is no table at all.
    """
    text = decode(data) if isinstance(data, bytes) else data.removeprefix("\ufeff")
    rows = split(text)
    heading = tuple(rows[0][1])
    with book.read() as session:
        known = None if columns is not None else _remembered(session, heading)
        problems: tuple[Problem, ...] = ()
        reading = None
        try:
            reading = read_runs(text, columns or known)
        except InvalidInput as error:
            problems = error.problems
        names = [] if reading is None else [run.car for run in reading.runs]
        return PastedTable(
            reading=reading,
            heading=heading,
            sample=tuple((line, tuple(cells)) for line, cells in rows[:SAMPLE_ROWS]),
            car_ids=_cars(session, names),
            remembered=known is not None,
            problems=problems,
        )


def rule_name(heading: Sequence[str], columns: Columns) -> str:
    """Return the name under which columns are remembered: what such tables share."""
    if columns.has_heading:
        return " | ".join(cell.strip().casefold() for cell in heading)
    return f"{len(heading)} columns without a heading"


def rule_of(columns: Columns) -> dict[str, Any]:
    """Return columns as they are remembered."""
    return asdict(columns)


def _remembered(session: Session, heading: Sequence[str]) -> Columns | None:
    for columns in (Columns(0, 1), Columns(0, 1, has_heading=False)):
        name = rule_name(heading, columns)
        rule = import_rule_store.find_rule_named(session, RuleKind.COLUMNS, name)
        if rule is not None:
            return Columns(**{**rule.rule, "gates": tuple(rule.rule.get("gates", ()))})
    return None


def _cars(session: Session, names: Sequence[str]) -> dict[str, int | None]:
    known = {name_key(car.name): car.id for car in car_store.list_cars(session)}
    return {name: known.get(name_key(name)) for name in dict.fromkeys(names)}
