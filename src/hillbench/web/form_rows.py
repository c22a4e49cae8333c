"""Forms with rows that can be added and taken away, with script or without.

Fields of a row are called ``<kind>_<column>_<number>``; a button that changes the rows is
called ``action`` and says ``add_<kind>`` or ``remove_<kind>_<number>``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

Pairs = tuple[tuple[str, str], ...]
Row = Mapping[str, str]

_ACTION: Final = re.compile(r"(add|remove)_([a-z]+)(?:_(\d{1,6}))?")
_FIELD: Final = re.compile(r"([a-z]+)_([a-z]+)_(\d{1,6})")


def rows_of(pairs: Pairs, kind: str) -> list[dict[str, str]]:
    """Return the rows of one kind in order, each as column and text."""
    rows: dict[int, dict[str, str]] = {}
    for name, text in pairs:
        match = _FIELD.fullmatch(name)
        if match and match[1] == kind:
            rows.setdefault(int(match[3]), {})[match[2]] = text
    return [rows[number] for number in sorted(rows)]


def with_rows(pairs: Pairs, kind: str, rows: Iterable[Row]) -> Pairs:
    """Return the form with its rows of one kind replaced and numbered afresh."""
    others = tuple(pair for pair in pairs if not _is_row(pair[0], kind))
    fresh = tuple(
        (f"{kind}_{column}_{number}", text)
        for number, row in enumerate(rows)
        for column, text in row.items()
    )
    return others + fresh


def act_on_rows(pairs: Pairs, action: str, blank: Mapping[str, Row]) -> Pairs | None:
    """Return the form after a button that adds or removes a row; None for another button.

    Parameters
    ----------
    pairs
        The form as typed.
    action
        What the button says.
    blank
        A fresh row of each kind that may be changed.
    """
    match = _ACTION.fullmatch(action)
    if match is None or match[2] not in blank:
        return None
    kind = match[2]
    rows: Sequence[Row] = rows_of(pairs, kind)
    if match[1] == "add":
        return with_rows(pairs, kind, [*rows, blank[kind]])
    if match[3] is None:
        return None
    gone = int(match[3])
    return with_rows(pairs, kind, [row for number, row in enumerate(rows) if number != gone])


def is_blank(row: Row, columns: Iterable[str]) -> bool:
    """Return whether nothing was typed into these columns of a row."""
    return not any(row.get(column, "").strip() for column in columns)


def _is_row(name: str, kind: str) -> bool:
    match = _FIELD.fullmatch(name)
    return match is not None and match[1] == kind
