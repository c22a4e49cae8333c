"""The pages on which times are read out of a table, and what is typed into them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Final

from hillbench.errors import InvalidInput, Problem
from hillbench.timing.columns import Columns
from hillbench.usecases.import_runs import ImportedRuns
from hillbench.usecases.read_pasted import PastedTable
from hillbench.web.page import Page
from hillbench.web.typed import Typed

MEANINGS: Final = (
    ("", "nothing"),
    ("time", "the time"),
    ("car", "the car"),
    ("lane", "the lane"),
    ("outing", "the outing or day"),
    ("order", "the number of the run"),
    ("note", "how it went"),
    ("gate", "a gate, in order"),
)
"""What a column may be, as choices of a form."""

NEW_CAR: Final = "new"
"""Choice of a form for a car that is not in the bench book yet."""

MOST_ROWS_SHOWN: Final = 100
_PIECE: Final = 500_000
_ROW: Final = re.compile(r"row (\d+)")


@dataclass(frozen=True, slots=True)
class WrongRow:
    """One row that was not kept.

    Attributes
    ----------
    line
        Number of its line, from 1; 0 for what is not about one row.
    text
        The line as it stands.
    sentences
        What is wrong with it.
    """

    line: int
    text: str
    sentences: tuple[str, ...]


@dataclass(frozen=True)
class ImportPage(Page):
    """Where a table is pasted or a file chosen.

    Attributes
    ----------
    track_options
        Tracks in use.
    table
        The form, as typed.
    """

    template: ClassVar[str] = "clock/import.html"
    place: ClassVar[str] = "clock"

    track_options: tuple[tuple[int, str], ...]
    table: Typed


@dataclass(frozen=True)
class ColumnsPage(Page):
    """How the table was understood, to be confirmed.

    Attributes
    ----------
    look
        The form, as typed.
    pieces
        The table as text, to be sent along.
    read
        The table as it was understood.
    width
        Number of its columns.
    run_count, wrong_count
        Rows that can be used and rows that cannot.
    names
        Names of cars in the table with the car each is taken for.
    meanings
        Choices for a column.
    car_options
        Choices for a car.
    track_name
        The track.
    """

    template: ClassVar[str] = "clock/columns.html"
    place: ClassVar[str] = "clock"

    look: Typed
    pieces: tuple[str, ...]
    read: PastedTable
    width: int
    run_count: int
    wrong_count: int
    names: tuple[tuple[str, str], ...]
    meanings: tuple[tuple[str, str], ...]
    car_options: tuple[tuple[str, str], ...]
    track_name: str


@dataclass(frozen=True)
class KeptPage(Page):
    """What became of the table.

    Attributes
    ----------
    kept
        What was kept.
    wrong
        Rows that were not, the first of them.
    wrong_left_out
        How many more there are.
    carried
        Fields of the confirmed form, to be sent along with corrected rows.
    pieces
        The table as text, to be sent along.
    track_name
        The track.
    """

    template: ClassVar[str] = "clock/kept.html"
    place: ClassVar[str] = "clock"

    kept: ImportedRuns
    wrong: tuple[WrongRow, ...]
    wrong_left_out: int
    carried: tuple[tuple[str, str], ...]
    pieces: tuple[str, ...]
    track_name: str


def in_pieces(text: str) -> tuple[str, ...]:
    """Return a text in pieces that a form can carry; joined they are the text."""
    return tuple(text[start : start + _PIECE] for start in range(0, len(text), _PIECE))


def columns_of(typed: Typed) -> Columns | None:
    """Return the columns as chosen in the form, None where it has no choice yet."""
    chosen = {
        int(name.removeprefix("column_")): value
        for name, value in typed.pairs
        if name.startswith("column_") and name.removeprefix("column_").isdecimal()
    }
    if not chosen:
        return None
    places: dict[str, int] = {}
    gates: list[int] = []
    for column, meaning in sorted(chosen.items()):
        if meaning == "gate":
            gates.append(column)
            continue
        if meaning in places:
            words = dict(MEANINGS)[meaning]
            seen, remedy = f"taken for {words} as well", "choose one of the two"
            raise InvalidInput([Problem(f"column {column + 1}", seen, "one column each", remedy)])
        if meaning:
            places[meaning] = column
    for needed in ("time", "car"):
        if needed not in places:
            remedy = "choose the column it stands in"
            raise InvalidInput([Problem(dict(MEANINGS)[needed], "missing", "one column", remedy)])
    unit = typed.value("time_unit")
    return Columns(
        time=places["time"],
        car=places["car"],
        lane=places.get("lane"),
        outing=places.get("outing"),
        order=places.get("order"),
        note=places.get("note"),
        has_heading=typed.value("has_heading") == "yes",
        time_unit=unit if unit in ("s", "ms", "min") else "s",
        gates=tuple(gates),
    )


def column_fields(columns: Columns, width: int) -> tuple[tuple[str, str], ...]:
    """Return columns as they would be chosen in the form."""
    single = [meaning for meaning, _ in MEANINGS if meaning not in {"", "gate"}]
    by_place = {getattr(columns, meaning): meaning for meaning in single}
    by_place |= dict.fromkeys(columns.gates, "gate")
    return (
        *((f"column_{place}", by_place.get(place, "")) for place in range(width)),
        ("has_heading", "yes" if columns.has_heading else ""),
        ("time_unit", columns.time_unit),
    )


def wrong_rows(problems: tuple[Problem, ...], text: str) -> tuple[WrongRow, ...]:
    """Return the rows that are wrong, each with all that is said about it."""
    said: dict[int, list[str]] = {}
    for problem in problems:
        found = _ROW.match(problem.where)
        said.setdefault(int(found[1]) if found else 0, []).append(problem.sentence())
    lines = text.splitlines() if said else []
    return tuple(
        WrongRow(line, lines[line - 1] if 0 < line <= len(lines) else "", tuple(sentences))
        for line, sentences in said.items()
    )


def corrected(text: str, rows: Mapping[int, str]) -> str:
    """Return the table with some of its lines typed anew."""
    if not rows:
        return text
    lines = text.splitlines()
    for number, line in rows.items():
        if 0 < number <= len(lines):
            lines[number - 1] = " ".join(line.splitlines())
    return "\n".join(lines) + "\n"
