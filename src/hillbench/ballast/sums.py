"""A task as sums over counts of pieces, whatever their places."""

from __future__ import annotations

from dataclasses import dataclass

from hillbench.ballast.loads import Loads, loads_of
from hillbench.ballast.places import Posed
from hillbench.ballast.rows import Rows, rows_of


@dataclass(frozen=True, slots=True, eq=False)
class Sums:
    """A task as sums over counts, made once for all levels.

    Attributes
    ----------
    problem
        What is allowed.
    rows
        What counts must keep to.
    loads
        What they weigh.
    """

    problem: Posed
    rows: Rows
    loads: Loads


def sums_of(problem: Posed) -> Sums:
    """Return a task as sums over counts."""
    return Sums(problem, rows_of(problem), loads_of(problem))
