"""Why a car cannot be brought to its mass and balance, and what would make it possible."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from hillbench.ballast.changes import Change, binding, changes, pair
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.heaviest import heaviest, thinned
from hillbench.ballast.layout import Layout
from hillbench.ballast.places import Posed, pose
from hillbench.ballast.reasons import Reason, sentence
from hillbench.ballast.solve import Outcome
from hillbench.ballast.task import BallastTask

LEAST_GAIN_MG: Final = 50
"""Mass gained below which a change is not worth telling."""

_HELPING: Final = 3
"""Single changes, the best, that are paired with others."""

_PAIRS: Final = 24
"""Pairs tried."""


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change, or two together, and what the car would then come to.

    Attributes
    ----------
    text
        What to do, as the beginning of a sentence.
    effort
        How much work it is; less is easier.
    gained_g
        Mass gained, g.
    reached_g
        Mass of the whole car then, g; more may be possible.
    inside
        Whether the centre of gravity is then inside its limits.
    enough
        Whether nothing is short then.
    freed_cm3
        Volume freed in the cavity, cm³.
    sort
        ``edge``, ``putty``, ``clearance``, ``swap``, ``buy`` or ``remove``; of a pair, the
        harder one.
    changes
        How many changes it is.
    """

    text: str
    effort: int
    gained_g: float
    reached_g: float
    inside: bool
    enough: bool = False
    freed_cm3: float = 0.0
    sort: str = ""
    changes: int = 1

    @property
    def to_buy(self) -> bool:
        """Whether it is a piece worth buying."""
        return self.sort in ("buy", "swap")


@dataclass(frozen=True, slots=True)
class WhyNot:
    """What binds and what would help.

    Attributes
    ----------
    sentence
        What is short or outside, and the best remedies; empty where nothing is.
    remedies
        Changes that help, best first: what is enough before what is not, then by grams gained
        for the effort.
    fits_nowhere
        Kinds of which no piece goes in anywhere.
    binds
        The surface or part without which most would be gained; empty where none is.
    inside_g
        Mass of the heaviest plan found that keeps to the window; None where the plan does.
    """

    sentence: str
    remedies: tuple[Remedy, ...]
    fits_nowhere: tuple[str, ...]
    binds: str = ""
    inside_g: float | None = None


def explain(task: BallastTask, posed: Posed, outcome: Outcome, deadline: Deadline) -> WhyNot:
    """Return why a plan is short or outside its window, with changes tried anew.

    Parameters
    ----------
    task
        What was asked.
    posed
        The same in whole numbers.
    outcome
        The best layout.
    deadline
        When to stop looking for remedies.

    Notes
    -----
    What a change would reach is a plan laid by hand, so it is sure; still more may be possible.
    """
    layout = outcome.layout
    nowhere = kinds_that_fit_nowhere(posed)
    if layout.score.short == 0 and layout.score.outside == 0:
        return WhyNot("", (), nowhere)
    inside = thinned(posed, layout, deadline) if layout.score.outside else None
    bench = _Bench(task, posed, layout, deadline)
    singles = list(bench.tried(changes(task)))
    found = _unlike([remedy for _, remedy in singles])
    singles = [(change, remedy) for change, remedy in singles if remedy in found]
    if not any(remedy.enough for remedy in found):
        found += bench.pairs(singles)
    remedies = _unlike(sorted(found, key=_order))
    binds = bench.what_binds()
    inside_g = None if inside is None else inside.mass_mg / 1000.0
    told = [(one.text, one.reached_g, one.inside, one.freed_cm3) for one in remedies[:3]]
    reason = Reason(posed, outcome, binds, nowhere, inside_g, tuple(told))
    return WhyNot(sentence(reason), tuple(remedies), nowhere, binds, inside_g)


def _order(remedy: Remedy) -> tuple[bool, bool, int, float]:
    effort = remedy.effort if remedy.enough else 0
    return not remedy.inside, not remedy.enough, effort, -remedy.gained_g / remedy.effort


def _unlike(remedies: list[Remedy]) -> list[Remedy]:
    """Return changes without those that add to another which is enough, or gains as much."""
    return [one for one in remedies if not any(_adds_nothing(one, other) for other in remedies)]


def _adds_nothing(one: Remedy, other: Remedy) -> bool:
    if not one.text.startswith(f"{other.text} "):
        return False
    by_itself = other.enough and other.changes == 1
    return by_itself or one.gained_g <= other.gained_g + LEAST_GAIN_MG / 1000.0


def kinds_that_fit_nowhere(posed: Posed) -> tuple[str, ...]:
    """Return the kinds of which no piece goes in anywhere, whatever else is left out."""
    fits = {posed.kind(place).name for place in posed.places}
    wanted = dict.fromkeys(kind.name for kind in posed.kinds if kind.count)
    return tuple(name for name in wanted if name not in fits and name != "putty")


class _Bench:
    """Tries changes on one car."""

    def __init__(self, task: BallastTask, posed: Posed, layout: Layout, deadline: Deadline) -> None:
        self._task = task
        self._posed = posed
        self._layout = layout
        self._deadline = deadline

    def tried(self, which: Iterator[Change], count: int = 1) -> Iterator[tuple[Change, Remedy]]:
        """Yield the changes that help, with what they come to."""
        for change in which:
            if self._deadline.is_over:
                return
            remedy = self._try(change, count)
            if remedy is not None:
                yield change, remedy

    def pairs(self, singles: list[tuple[Change, Remedy]]) -> list[Remedy]:
        """Return pairs that gain more than either: a change that helps, and any other.

        A piece more may help only once there is room for it, so that the other need not help
        by itself.
        """
        gains = {change.text: remedy.gained_g for change, remedy in singles}
        best = sorted(singles, key=lambda one: -one[1].gained_g)[:_HELPING]
        others = sorted(changes(self._task), key=lambda one: -gains.get(one.text, 0.0))
        two = [
            (first, second)
            for (first, _), second in itertools.product(best, others)
            if first.sort != second.sort and (gains.get(second.text, -1.0) <= gains[first.text])
        ]
        found = []
        for first, second in two[:_PAIRS]:
            for _, remedy in self.tried(iter([pair(first, second)]), 2):
                if remedy.gained_g > gains[first.text] + LEAST_GAIN_MG / 1000.0:
                    found.append(replace(remedy, effort=first.effort + second.effort))
        return found

    def what_binds(self) -> str:
        """Return the surface or part without which most mass would go in, if any."""
        most_mg, binds = 0, ""
        for name, cavity in binding(self._task.cavity):
            if self._deadline.is_over:
                break
            better = heaviest(pose(replace(self._task, cavity=cavity)), self._deadline, 0)
            if better is not None and self._helps(better) and better.mass_mg > most_mg:
                most_mg, binds = better.mass_mg, name
        return binds

    def _try(self, change: Change, count: int) -> Remedy | None:
        posed = pose(change.apply(self._task))
        better = heaviest(posed, self._deadline)
        if better is None or not self._helps(better):
            return None
        gained_mg = better.mass_mg - self._layout.mass_mg
        return Remedy(
            text=change.text,
            effort=change.effort,
            gained_g=gained_mg / 1000.0,
            reached_g=better.mass_mg / 1000.0,
            inside=better.score.outside == 0,
            enough=better.score.short == 0 and better.score.outside == 0,
            freed_cm3=max(posed.room.volume_cm3 - self._posed.room.volume_cm3, 0.0),
            sort=change.sort,
            changes=count,
        )

    def _helps(self, better: Layout) -> bool:
        score, old = better.score, self._layout.score
        gained_mg = better.mass_mg - self._layout.mass_mg
        if old.outside and not score.outside:
            return gained_mg > -LEAST_GAIN_MG
        if score.outside > old.outside:
            return False
        return gained_mg >= LEAST_GAIN_MG or (score.short == 0 < old.short)
