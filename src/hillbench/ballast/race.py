"""Two searches side by side at one level; the first to prove it ends both."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Final

from hillbench.ballast.aims import Level, Settled, value_of
from hillbench.ballast.benders import Decomposition, Verdict
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.first import improvements
from hillbench.ballast.layout import Layout, lay_out
from hillbench.ballast.packing import Found
from hillbench.ballast.sums import Sums
from hillbench.ballast.whole import Whole

HEAD_START_S: Final = 5.0
"""How long the search by parts goes alone: building the whole model would slow it."""

_MOST_CLASSES: Final = 3000
"""Classes of placements beyond which the whole model would be too large."""

_TRIES: Final = 300
"""Plans laid by hand beside the first search."""

_LOOK_S: Final = 0.02
"""How often the deadline is looked at."""


class Race:
    """What two searches know together about one level.

    Parameters
    ----------
    sums
        The task as sums over counts.
    level
        What is to be least.
    settled
        Bounds of the levels before.
    report
        Called with each layout found, from either thread.
    """

    def __init__(
        self, sums: Sums, level: Level, settled: Settled, report: Callable[[Layout], None]
    ) -> None:
        self._sums = sums
        self._level = level
        self._settled = settled
        self._report = report
        self._lock = threading.Lock()
        self._over = threading.Event()
        self._best: Layout | None = None
        self._bound = 0
        self._refuted = False
        self._failure: BaseException | None = None

    def run(self, parts: Decomposition, known: Layout | None, deadline: Deadline) -> Verdict:
        """Return what the two searches prove, or know when the deadline is over.

        Parameters
        ----------
        parts
            The search by parts, with what it has learnt.
        known
            A layout that is known already, if any.
        deadline
            When to stop.
        """
        if known is not None and self._settled.admits(known.score):
            self._best = known
        inner = deadline.cut_by(self._over.is_set)
        threads = [
            threading.Thread(target=self._guard, args=(work, inner), daemon=True)
            for work in (lambda one: self._by_parts(parts, one), self._as_a_whole)
        ]
        for thread in threads:
            thread.start()
        while not self._over.wait(_LOOK_S):
            if deadline.is_over or not any(thread.is_alive() for thread in threads):
                self._over.set()
        while any(thread.is_alive() for thread in threads):
            inner.stop()
            for thread in threads:
                thread.join(_LOOK_S)
        if self._failure is not None:
            raise self._failure
        return self._verdict()

    def _verdict(self) -> Verdict:
        if self._refuted:
            return Verdict(Found.NO, 0, None)
        if self._best is not None and value_of(self._best.score, self._level) <= self._bound:
            return Verdict(Found.YES, self._bound, self._best)
        return Verdict(Found.OPEN, self._bound, self._best)

    def _guard(self, work: Callable[[Deadline], Verdict], deadline: Deadline) -> None:
        try:
            verdict = work(deadline)
            if verdict.found is Found.NO:
                self._refuted = True
                self._over.set()
            elif verdict.layout is not None:
                self._keep(verdict.layout)
            self._raise_bound(verdict.bound)
        except BaseException as error:  # noqa: BLE001 (told by the thread that asked)
            self._failure = error
            self._over.set()

    def _by_parts(self, parts: Decomposition, deadline: Deadline) -> Verdict:
        return parts.settle(
            self._level, self._settled, deadline, self._keep, self._raise_bound, self._known
        )

    def _as_a_whole(self, deadline: Deadline) -> Verdict:
        """Look for better plans by hand first, then prove in one model."""
        start = self._best or lay_out(self._sums.problem, ())
        tries = improvements(self._sums.problem, start, self._rank, _TRIES)
        while not deadline.is_over and (layout := next(tries, None)) is not None:
            self._keep(layout)
        large = len(self._sums.problem.places) > _MOST_CLASSES
        # Far outside the window the search by parts would go through counts one by one.
        wait_s = 0.0 if self._level is Level.WINDOW else HEAD_START_S
        if large or self._over.wait(wait_s) or deadline.is_over:
            return Verdict(Found.OPEN, 0, None)
        whole = Whole(self._sums, self._level, self._settled)
        return whole.solve(deadline, self._keep, self._raise_bound)

    def _known(self) -> int | None:
        best = self._best
        return None if best is None else value_of(best.score, self._level)

    def _rank(self, layout: Layout) -> tuple[int, ...]:
        """Rank layouts, those first that keep to the bounds of the levels before."""
        score = layout.score
        values = (score.short, score.outside, score.high, score.pieces)
        return (not self._settled.admits(score), *values)

    def _keep(self, layout: Layout) -> None:
        self._report(layout)
        if not self._settled.admits(layout.score):
            return
        value = value_of(layout.score, self._level)
        with self._lock:
            if self._best is None or value < value_of(self._best.score, self._level):
                self._best = layout
        self._close()

    def _raise_bound(self, bound: int) -> None:
        with self._lock:
            self._bound = max(self._bound, bound)
        self._close()

    def _close(self) -> None:
        with self._lock:
            best = self._best
            if best is not None and value_of(best.score, self._level) <= self._bound:
                self._over.set()
