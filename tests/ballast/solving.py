"""Answers of each search on its own, level by level, to proof."""

from __future__ import annotations

from collections.abc import Callable

from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.benders import Decomposition, Verdict
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.packing import Found
from hillbench.ballast.places import Posed
from hillbench.ballast.sums import sums_of
from hillbench.ballast.whole import Whole

Values = tuple[int, int, int, int]


def by_parts(posed: Posed) -> Values:
    """Return the proven values of the search by parts."""
    parts = Decomposition(sums_of(posed))
    return _values(lambda level, settled: parts.settle(level, settled, Deadline()))


def as_a_whole(posed: Posed) -> Values:
    """Return the proven values of the one model."""
    return _values(lambda level, settled: Whole(sums_of(posed), level, settled).solve(Deadline()))


def _values(ask: Callable[[Level, Settled], Verdict]) -> Values:
    settled, values = Settled(), []
    for level in Level:
        verdict = ask(level, settled)
        assert verdict.found is Found.YES
        values.append(verdict.bound)
        settled = settled.after(level, verdict.bound)
    return values[0], values[1], values[2], values[3]
