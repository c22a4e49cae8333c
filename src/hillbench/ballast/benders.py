"""Proof by parts: counts that could be best are laid, and what fails is cut off.

Logic-based Benders decomposition (J. N. Hooker, G. Ottosson, Logic-based Benders
decomposition, Mathematical Programming 96 (2003) 33-60, doi:10.1007/s10107-003-0375-9).
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.cuts import Memory, lifted, smallest_unfits
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.layout import Laid, Layout, lay_out, trimmed_masses_mg
from hillbench.ballast.master import Counts, Master, Scope
from hillbench.ballast.packing import Found, Packing
from hillbench.ballast.ranges import ranges
from hillbench.ballast.sums import Sums
from hillbench.ballast.weighing import Aim

Groups = list[tuple[tuple[int, ...], int]]


@dataclass(slots=True)
class Cuts:
    """What was learnt and holds whatever the window: kept from level to level.

    Attributes
    ----------
    unfit
        Groups of classes that do not go in together.
    unborne
        Counts that cannot rest on each other.
    """

    unfit: list[Groups] = field(default_factory=list)
    unborne: list[Counts] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What came of one level.

    Attributes
    ----------
    found
        Whether a layout keeps to the bounds (``NO`` is proven), or it is open.
    bound
        Value that no layout betters, as far as proven.
    layout
        The best layout, if any.
    """

    found: Found
    bound: int
    layout: Layout | None


class Decomposition:
    """Answers one level after another, keeping the cuts that stay valid.

    Parameters
    ----------
    sums
        The task as sums over counts.
    fill
        Share of the free area that pieces may take; below 1 nothing is proven, but plans are
        found sooner.
    most_tries
        Counts tried at most.

    Attributes
    ----------
    sums
        The task as sums over counts.
    """

    def __init__(self, sums: Sums, fill: float = 1.0, most_tries: float = math.inf) -> None:
        self.sums = sums
        self._problem = sums.problem
        self._most_tries = most_tries
        self._fill = fill
        self._cuts = Cuts()
        self._memory = Memory()
        self._windowed: dict[Settled, list[Counts]] = defaultdict(list)

    def settle(
        self,
        level: Level,
        settled: Settled,
        deadline: Deadline,
        report: Callable[[Layout], None] = lambda _: None,
        bounded: Callable[[int], None] = lambda _: None,
        known: Callable[[], int | None] = lambda: None,
    ) -> Verdict:
        """Return the best value of a level within the bounds of those before.

        Parameters
        ----------
        level
            What is to be least.
        settled
            Bounds of the levels before.
        deadline
            When to stop.
        report
            Called with each layout found.
        bounded
            Called with each lower bound proven.
        known
            Returns the best value known from elsewhere; only better ones are looked for.

        Notes
        -----
        Classes that no plan near the bound of the relaxation uses are left out at first; where
        nothing is left, the bound rises past what was looked at and more classes come back.
        """
        bound = 0
        for kept, ceiling in ranges(self.sums, level, settled, known):
            master = self._master(level, settled, Scope(self._fill, kept, ceiling))
            verdict = self._below(master, (level, settled), deadline, report, bounded)
            if verdict.found is not Found.NO or ceiling is None:
                return replace(verdict, bound=max(bound, verdict.bound))
            bound = ceiling + 1
            bounded(bound)
            best = known()
            if best is not None and bound >= best:
                break
        return Verdict(Found.OPEN, bound, None)

    def _master(self, level: Level, settled: Settled, scope: Scope) -> Master:
        master = Master(self.sums, level, settled, scope)
        for groups in self._cuts.unfit:
            master.forbid(groups)
        for counts in self._cuts.unborne:
            master.forbid_exactly(counts)
        for counts in self._windowed.get(settled, []):
            master.forbid_exactly(counts)
        return master

    def _below(
        self,
        master: Master,
        asked: tuple[Level, Settled],
        deadline: Deadline,
        report: Callable[[Layout], None],
        bounded: Callable[[int], None],
    ) -> Verdict:
        """Return the best value among the counts of a master."""
        level, settled = asked
        best: Layout | None = None
        bound, salvaged = 0, False
        tries = itertools.count()
        while not deadline.is_over and next(tries) < self._most_tries:
            found, counts, value = master.solve(deadline)
            if found is Found.NO:
                return Verdict(Found.NO, 0, None)
            if found is Found.OPEN:
                break
            bound = value
            bounded(bound)
            if best is not None and value >= best.score.outside:
                return Verdict(Found.YES, bound, best)
            found, layout = self._try(counts, level, settled, master, deadline)
            if found is Found.OPEN:
                break
            if layout is None:
                if not salvaged:
                    salvaged = True
                    self._salvage(counts, deadline, report)
                continue
            report(layout)
            if level is not Level.WINDOW:
                return Verdict(Found.YES, bound, layout)
            master.bound_exactly(counts, layout.score.outside)
            if best is None or layout.score.outside < best.score.outside:
                best = layout
        return Verdict(Found.OPEN, bound, best)

    def _salvage(
        self, counts: Counts, deadline: Deadline, report: Callable[[Layout], None]
    ) -> None:
        """Report what goes in of counts that do not, so that there is soon some plan."""
        left = dict(counts)
        by_weight = sorted(left, key=lambda i: (-self._problem.places[i].layer, self._mass_mg(i)))
        for index in by_weight:
            while left.get(index):
                found, laid = self._pack(left, Aim(window_bands=0), deadline)
                if found is Found.YES:
                    report(lay_out(self._problem, laid))
                    return
                left[index] -= 1
            del left[index]

    def _mass_mg(self, index: int) -> int:
        return self._problem.kind(self._problem.places[index]).mass_mg

    def _try(
        self, counts: Counts, level: Level, settled: Settled, master: Master, deadline: Deadline
    ) -> tuple[Found, Layout | None]:
        """Lay the counts, or cut them off."""
        goal = "window" if level is Level.WINDOW else "any"
        aim = Aim(window_bands=settled.outside, goal=goal)
        found, laid = self._pack(counts, aim, deadline)
        if found is Found.YES:
            return found, lay_out(self._problem, laid)
        if found is Found.NO:
            self._cut(counts, master, settled, deadline)
        return found, None

    def _cut(self, counts: Counts, master: Master, settled: Settled, deadline: Deadline) -> None:
        def ask(part: Counts) -> bool | None:
            found = self._pack(part, Aim(supported=False), deadline)[0]
            return None if found is Found.OPEN else found is Found.YES

        fits = self._memory.using(ask)
        if not fits(counts):
            for part in smallest_unfits(counts, fits, self._problem):
                groups = lifted(part, self._problem)
                self._cuts.unfit.append(groups)
                master.forbid(groups)
            return
        if settled.outside is None or self._pack(counts, Aim(), deadline)[0] is Found.NO:
            self._cuts.unborne.append(counts)
        else:
            self._windowed[settled].append(counts)
        master.forbid_exactly(counts)

    def _pack(self, counts: Counts, aim: Aim, deadline: Deadline) -> tuple[Found, tuple[Laid, ...]]:
        places = [self._problem.places[i] for i, number in counts.items() for _ in range(number)]
        masses = trimmed_masses_mg(self._problem, places)
        return Packing(self._problem, places, masses, aim).solve(deadline)
