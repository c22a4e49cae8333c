"""Proof by parts: counts that could be best are laid, and what fails is cut off.

Logic-based Benders decomposition (J. N. Hooker, G. Ottosson, Logic-based Benders
decomposition, Mathematical Programming 96 (2003) 33-60, doi:10.1007/s10107-003-0375-9).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass, field

from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.cuts import lifted, smallest_unfit
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.layout import Laid, Layout, lay_out
from hillbench.ballast.master import Counts, Master
from hillbench.ballast.packing import Aim, Found, Packing
from hillbench.ballast.places import Place, Posed

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
    problem
        What is allowed.
    fill
        Share of the free area that pieces may take; below 1 nothing is proven, but plans are
        found sooner.
    most_tries
        Counts tried at most.
    """

    def __init__(self, problem: Posed, fill: float = 1.0, most_tries: float = math.inf) -> None:
        self._problem = problem
        self._most_tries = most_tries
        self._fill = fill
        self._cuts = Cuts()

    def settle(
        self,
        level: Level,
        settled: Settled,
        deadline: Deadline,
        report: Callable[[Layout], None] = lambda _: None,
        bounded: Callable[[int], None] = lambda _: None,
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
        """
        master = Master(self._problem, level, settled, self._fill)
        for groups in self._cuts.unfit:
            master.forbid(groups)
        for counts in self._cuts.unborne:
            master.forbid_exactly(counts)
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
            self._cut(counts, master, deadline, windowed=settled.outside is not None)
        return found, None

    def _cut(self, counts: Counts, master: Master, deadline: Deadline, *, windowed: bool) -> None:
        room = Aim(supported=False)

        def fits(part: Counts) -> bool:
            return self._pack(part, room, deadline)[0] is not Found.NO

        if not fits(counts):
            groups = lifted(smallest_unfit(counts, fits, self._problem), self._problem)
            self._cuts.unfit.append(groups)
            master.forbid(groups)
            return
        if not windowed or self._pack(counts, Aim(), deadline)[0] is Found.NO:
            self._cuts.unborne.append(counts)
        master.forbid_exactly(counts)

    def _pack(self, counts: Counts, aim: Aim, deadline: Deadline) -> tuple[Found, tuple[Laid, ...]]:
        places = [self._problem.places[i] for i, number in counts.items() for _ in range(number)]
        masses = trimmed_masses_mg(self._problem, places)
        return Packing(self._problem, places, masses, aim).solve(deadline)


def trimmed_masses_mg(problem: Posed, places: list[Place]) -> list[int]:
    """Return the mass of each piece, a dab of putty trimmed to the target."""
    kinds = [problem.kind(place) for place in places]
    hard_mg = sum(kind.mass_mg for kind in kinds if not kind.is_putty)
    spare_mg = problem.balance.room_mg - hard_mg
    return [min(kind.mass_mg, spare_mg) if kind.is_putty else kind.mass_mg for kind in kinds]
