"""The best plan there is: level by level, each with its proof."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from hillbench.ballast.aims import Level, Settled, value_of
from hillbench.ballast.balance import Score
from hillbench.ballast.benders import Decomposition, Verdict
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.first import improvements, lay_by_hand, orders_of
from hillbench.ballast.layout import Layout, lay_out
from hillbench.ballast.packing import Found, Packing
from hillbench.ballast.places import Posed
from hillbench.ballast.race import Race
from hillbench.ballast.sums import sums_of
from hillbench.ballast.weighing import Aim

MOST_CLASSES: Final = 12_000
"""Classes of placements beyond which no proof is begun: one model would take a minute to build.
Some twenty kinds of pieces that may lie on any face stay below."""

_TRIES: Final = 300
"""Plans laid by hand where no proof is begun."""

_POLISH_EFFORT: Final = 0.1
"""Deterministic effort of the polish; it ends there, proven or not."""


@dataclass(frozen=True, slots=True)
class LevelResult:
    """What is known of one level.

    Attributes
    ----------
    level
        Which.
    value
        Value of the plan.
    bound
        Value that no plan betters, given the levels before.
    proven
        Whether the two are proven to agree, here and at every level before.
    """

    level: Level
    value: int
    bound: int
    proven: bool


@dataclass(frozen=True, slots=True)
class Outcome:
    """The best layout found and how far it is proven.

    Attributes
    ----------
    layout
        The best layout; nothing is laid where nothing may be.
    levels
        What is known of each level, in order.
    """

    layout: Layout
    levels: tuple[LevelResult, ...]

    @property
    def is_proven(self) -> bool:
        """Whether every level is proven."""
        return all(level.proven for level in self.levels)

    def level(self, level: Level) -> LevelResult:
        """Return what is known of one level."""
        return self.levels[level]


class _Search:
    def __init__(
        self, problem: Posed, deadline: Deadline, report: Callable[[Layout], None]
    ) -> None:
        self._problem = problem
        self._deadline = deadline
        self._tell = report
        self._lock = threading.Lock()
        self.best = lay_out(problem, ())

    def begin(self) -> None:
        """Report plans that need no search, so that there is one at once."""
        for order in orders_of(self._problem):
            for tidy in (False, True):
                if self._deadline.is_over:
                    return
                self._report(lay_by_hand(self._problem, order, tidy=tidy))

    @cached_property
    def _parts(self) -> Decomposition:
        return Decomposition(sums_of(self._problem))

    def settle(self, level: Level, settled: Settled) -> Verdict:
        """Return the best value of a level, or what is known when time is up."""
        if len(self._problem.places) > MOST_CLASSES:
            self._by_hand()
        if len(self._problem.places) > MOST_CLASSES or self._deadline.is_over:
            return Verdict(Found.OPEN, 0, None)
        race = Race(self._parts.sums, level, settled, self._report)
        return race.run(self._parts, self.best, self._deadline)

    def _by_hand(self) -> None:
        """Report ever better plans laid by hand, for a drawer too large for a proof."""
        tries = improvements(self._problem, self.best, lambda one: _rank(one.score), _TRIES)
        while not self._deadline.is_over and (layout := next(tries, None)) is not None:
            self._report(layout)

    def _report(self, layout: Layout) -> None:
        """Keep and tell a layout that betters the best so far."""
        with self._lock:
            if _rank(layout.score) < _rank(self.best.score):
                self.best = layout
                self._tell(layout)

    def polish(self, layout: Layout) -> Layout:
        """Return the same pieces nearer the centre line and the middle of the window."""
        if not layout.laid:
            return layout
        pieces = sorted(layout.laid, key=lambda piece: piece.place.index)
        aim = Aim(window_bands=layout.score.outside, goal="polish")
        places, masses = [p.place for p in pieces], [p.mass_mg for p in pieces]
        limited = Deadline(self._deadline.remaining_s, self._deadline.cancelled, _POLISH_EFFORT)
        found, laid = Packing(self._problem, places, masses, aim).solve(limited)
        if found is not Found.YES:
            return layout
        polished = lay_out(self._problem, laid)
        return polished if _off(polished, self._problem) < _off(layout, self._problem) else layout


def solve(
    problem: Posed,
    deadline: Deadline | None = None,
    report: Callable[[Layout], None] = lambda _: None,
    settled: Callable[[Level], None] = lambda _: None,
) -> Outcome:
    """Return the best layout, level by level: mass, window, height, number of pieces.

    Parameters
    ----------
    problem
        What is allowed.
    deadline
        When to stop; never by default. What is then known is returned.
    report
        Called with the first layout and each better one; from another thread.
    settled
        Called with each level once its best value is proven.

    Notes
    -----
    A level whose best value is not proven ends the proof, not the search: the levels after it
    are not asked, since their answer would depend on a value that may still change.
    """
    search = _Search(problem, deadline or Deadline(), report)
    search.begin()
    levels = _levels(search, settled)
    layout = search.polish(search.best)
    if layout is not search.best:
        report(layout)
    known = {result.level: result for result in levels}
    rest = [
        known.get(level, LevelResult(level, value_of(layout.score, level), 0, proven=False))
        for level in Level
    ]
    return Outcome(layout, tuple(rest))


def _levels(search: _Search, told: Callable[[Level], None]) -> list[LevelResult]:
    results: list[LevelResult] = []
    settled = Settled()
    for level in Level:
        if len(results) <= level:
            results += _asked(search, level, settled)
        if not results[level].proven:
            return results
        told(level)
        settled = settled.after(level, results[level].value)
    return results


def _asked(search: _Search, level: Level, settled: Settled) -> list[LevelResult]:
    """Return what is known of a level, and of those after it that were settled with it.

    Nothing short and nothing outside cannot be bettered. Otherwise the lowest plan inside the
    window is asked for, with nothing short: most cars have one, and it settles every level
    down to the height.
    """
    if level <= Level.WINDOW and value_of(search.best.score, level) == 0:
        return [LevelResult(level, 0, 0, proven=True)]
    if level <= Level.WINDOW:
        bounds = settled.after(Level.MASS, 0) if level is Level.MASS else settled
        verdict = search.settle(Level.HEIGHT, bounds.after(Level.WINDOW, 0))
        if verdict.layout is not None:
            short = verdict.layout.score.short
            best = [LevelResult(Level.MASS, short, short, proven=True)]
            best.append(LevelResult(Level.WINDOW, 0, 0, proven=True))
            return [*best[level:], _result(search, Level.HEIGHT, verdict)]
    return [_result(search, level, search.settle(level, settled))]


def _result(search: _Search, level: Level, verdict: Verdict) -> LevelResult:
    """Take over the best layout of a level and say what is known."""
    if verdict.layout is not None:
        search.best = verdict.layout
    value = value_of(search.best.score, level)
    return LevelResult(level, value, verdict.bound, proven=verdict.found is Found.YES)


def _rank(score: Score) -> tuple[int, int, int, int]:
    return score.short, score.outside, score.high, score.pieces


def _off(layout: Layout, problem: Posed) -> int:
    """Return how far the centre of gravity is from the middle, for the polish."""
    low, high = problem.balance.window
    along = abs(2 * layout.moments[0] - (low + high) * layout.mass_mg)
    return along + 2 * abs(layout.moments[1])
