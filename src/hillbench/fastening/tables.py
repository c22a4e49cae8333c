"""The CSV tables of standard values, read as text and never evaluated."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Final

from hillbench import constants

FOLDER: Final = Path(__file__).parent / "data"

TABLES: Final = (
    "clearance",
    "drills",
    "friction",
    "heads",
    "lengths",
    "materials",
    "metric_tolerances",
    "taps",
    "threads",
)
"""Names of the tables; every row has the columns ``unit``, ``source`` and ``edition``."""

_MM: Final[Mapping[str, float]] = {"mm": 1.0, "in": constants.MM_PER_INCH}


@cache
def read_table(name: str) -> tuple[Mapping[str, str], ...]:
    """Return the rows of one of the `TABLES`, by column."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def to_mm(text: str, unit: str) -> float:
    """Return a length of a table in mm; a fraction such as ``3/16`` is allowed."""
    top, _, bottom = text.partition("/")
    return float(top) / float(bottom or 1) * _MM[unit]
