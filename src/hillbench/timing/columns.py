"""Which column of a table is what: guessed from its heading or its cells, to be confirmed."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.errors import InvalidInput, Problem
from hillbench.timing.time_text import parse_time, says_nothing, says_unfinished

HEADINGS: Final[dict[str, tuple[str, ...]]] = {
    "time": (
        *("time_s", "time", "finish time", "finish", "seconds", "sec", "result", "elapsed"),
        *("zeit", "temps", "tiempo", "tempo"),
    ),
    "car": (
        *("car", "car name", "name", "casting", "racer", "vehicle", "model"),
        *("auto", "wagen", "voiture", "coche"),
    ),
    "lane": ("lane", "track lane", "bahn", "spur", "piste", "carril"),
    "outing": ("outing", "session", "date", "day", "datum"),
    "order": ("order", "run", "run no", "run number", "no", "nr", "heat", "attempt", "lauf"),
    "note": ("note", "notes", "remark", "comment", "status", "bemerkung"),
}
"""Headings by which a column is known, without case, marks and unit; the first fits best."""

_UNIT: Final = re.compile(r"[\s_]*[(\[]?\b(ms|s|sec|seconds|min)\b[)\]]?\s*$", re.IGNORECASE)
_GATE: Final = re.compile(r"(?:gate|split|intermediate)(?: time)? ?(\d{1,2})(?: time)?")
_UNITS: Final = {"ms": "ms", "min": "min"}
_SAMPLE: Final = 200


@dataclass(frozen=True, slots=True)
class Columns:
    """Where a table has what; columns count from 0.

    Attributes
    ----------
    time, car
        Columns of the finish time and of the car's name.
    lane, outing, order, note
        Further columns; None where there is none.
    has_heading
        Whether the first row is a heading.
    time_unit
        Unit of a bare number: ``s``, ``ms`` or ``min``.
    gates
        Columns of the gate times, first gate first; none where there are none.
    """

    time: int
    car: int
    lane: int | None = None
    outing: int | None = None
    order: int | None = None
    note: int | None = None
    has_heading: bool = True
    time_unit: str = "s"
    gates: tuple[int, ...] = ()


def guess_columns(rows: Sequence[Sequence[str]], where: str = "file") -> Columns:
    """Return what each column seems to be.

    Parameters
    ----------
    rows
        Rows of cells, the heading first if there is one.
    where
        Name of the file or field, for messages.

    Raises
    ------
    InvalidInput
        If no column can be the time, or none the car.
    """
    heading = rows[0]
    has_heading = not any(_is_time(cell) for cell in heading)
    found = _by_heading(heading) if has_heading else {}
    body = rows[1 : _SAMPLE + 1] if has_heading else rows[:_SAMPLE]
    width = max((len(row) for row in body), default=0)
    gates = _gates_by_heading(heading) if has_heading else ()
    taken = {*found.values(), *gates}
    free = [column for column in range(width) if column not in taken]
    if "time" not in found and (column := _most_like_times(body, free)) is not None:
        found["time"] = column
        free.remove(column)
    if "car" not in found and (column := _most_like_names(body, free)) is not None:
        found["car"] = column
    missing = [name for name in ("car", "time") if name not in found]
    if missing:
        seen = ", ".join(repr(cell) for cell in heading[:8])
        raise InvalidInput(
            [
                Problem(
                    f"{where}: the heading",
                    f"without a column for the {' and the '.join(missing)} ({seen})",
                    "columns car and time_s, and if you like lane, outing, order, note",
                    "name the columns",
                )
            ]
        )
    unit = _UNIT.search(heading[found["time"]]) if has_heading else None
    return Columns(
        time=found["time"],
        car=found["car"],
        lane=found.get("lane"),
        outing=found.get("outing"),
        order=found.get("order"),
        note=found.get("note"),
        has_heading=has_heading,
        time_unit=_UNITS.get(unit[1].lower(), "s") if unit else "s",
        gates=gates,
    )


def _gates_by_heading(heading: Sequence[str]) -> tuple[int, ...]:
    """Return the columns that a number names as gates, the first gate first."""
    found = [(match, place) for place, cell in enumerate(heading) if (match := _gate(cell))]
    return tuple(place for _, place in sorted(found, key=lambda one: int(one[0][1])))


def _gate(heading: str) -> re.Match[str] | None:
    return _GATE.fullmatch(_plain(heading))


def _by_heading(heading: Sequence[str]) -> dict[str, int]:
    """Return the column of each meaning, the best-fitting heading first."""
    plain = [_plain(cell) for cell in heading]
    found: dict[str, int] = {}
    for meaning, names in HEADINGS.items():
        for name in names:
            wanted = _plain(name)
            if wanted in plain and plain.index(wanted) not in found.values():
                found[meaning] = plain.index(wanted)
                break
    return found


def _plain(heading: str) -> str:
    text = heading.casefold().strip()
    without = _UNIT.sub("", text)
    return re.sub(r"[^\w]+|_+", " ", without or text).strip()


def _is_time(cell: str) -> bool:
    try:
        parse_time(cell)
    except InvalidInput:
        return False
    return True


def _most_like_times(body: Sequence[Sequence[str]], free: Sequence[int]) -> int | None:
    """Return the column that holds times, rather one with decimals than one with numbers."""

    def rank(column: int) -> tuple[int, int]:
        cells = [row[column] for row in body if column < len(row)]
        times = [cell for cell in cells if _is_time(cell)]
        told = [cell for cell in cells if says_unfinished(cell) or says_nothing(cell)]
        if 2 * (len(times) + len(told)) <= len(cells):
            return (0, 0)
        return (sum(not cell.strip().isdigit() for cell in times), len(times))

    best = max(free, key=rank, default=None)
    return best if best is not None and rank(best)[1] > 0 else None


def _most_like_names(body: Sequence[Sequence[str]], free: Sequence[int]) -> int | None:
    """Return the first column of words, else the first whose cells repeat."""
    for wordy in (True, False):
        for column in free:
            cells = [row[column] for row in body if column < len(row) and row[column]]
            words = sum(not _is_time(cell) for cell in cells)
            repeats = len(set(cells)) < len(cells) or len(cells) <= 3
            if cells and repeats and (words > len(cells) // 2) == wordy:
                return column
    return None
