"""Why a car cannot be brought to its mass and balance, and what would make it possible."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.benders import Decomposition
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.layout import Layout
from hillbench.ballast.master import sums_of
from hillbench.ballast.places import Posed, pose
from hillbench.ballast.plan import spare_names
from hillbench.ballast.solve import Outcome
from hillbench.ballast.stock import Putty
from hillbench.ballast.task import BallastTask

_EFFORTS = {"buy": 1, "putty": 1, "edge": 1, "clearance": 2, "remove": 3}
"""How much work a change is, least first, for those that gain the same."""

_FIRM = ("axle", "post", "wall")
"""What cannot be taken out of a car, by words in its name."""

MOST_RELAXATIONS = 24
LEAST_GAIN_MG = 50
_MORE_PUTTY_G = 4.0


@dataclass(frozen=True, slots=True)
class Remedy:
    """One thing changed, and what the car would then come to.

    Attributes
    ----------
    text
        What to do, as the beginning of a sentence.
    effort
        How much work it is; less is easier.
    gained_g
        Mass gained, g.
    reached_g
        Mass of the whole car then, g.
    inside
        Whether the centre of gravity is then inside its limits.
    """

    text: str
    effort: int
    gained_g: float
    reached_g: float
    inside: bool


@dataclass(frozen=True, slots=True)
class WhyNot:
    """What binds and what would help.

    Attributes
    ----------
    sentence
        What is short or outside, and the best remedies; empty where nothing is.
    remedies
        Single changes that help, most grams first, then least effort.
    fits_nowhere
        Kinds of which no piece goes in anywhere.
    """

    sentence: str
    remedies: tuple[Remedy, ...]
    fits_nowhere: tuple[str, ...]


def explain(task: BallastTask, posed: Posed, outcome: Outcome, deadline: Deadline) -> WhyNot:
    """Return why a plan is short or outside its window, with single changes solved anew.

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
    """
    score = outcome.layout.score
    nowhere = kinds_that_fit_nowhere(posed)
    if score.short == 0 and score.outside == 0:
        return WhyNot("", (), nowhere)
    remedies = sorted(
        _remedies(task, outcome.layout, deadline),
        key=lambda one: (not one.inside, -round(one.gained_g, 1), one.effort),
    )
    return WhyNot(_sentence(posed, outcome, remedies, nowhere), tuple(remedies), nowhere)


def kinds_that_fit_nowhere(posed: Posed) -> tuple[str, ...]:
    """Return the kinds of which no piece goes in anywhere, whatever else is left out."""
    fits = {posed.kind(place).name for place in posed.places}
    wanted = dict.fromkeys(kind.name for kind in posed.kinds if kind.count)
    return tuple(name for name in wanted if name not in fits and name != "putty")


def _remedies(task: BallastTask, layout: Layout, deadline: Deadline) -> Iterator[Remedy]:
    score = layout.score
    for number, (kind, text, relaxed) in enumerate(_relaxations(task)):
        if number >= MOST_RELAXATIONS or deadline.is_over:
            return
        better = _quick(pose(relaxed), deadline, lighter=score.short > 0)
        if better is None:
            continue
        gained_mg = better.mass_mg - layout.mass_mg
        inside = better.score.outside == 0
        helps = gained_mg >= LEAST_GAIN_MG or better.score.short < score.short
        if helps if score.short else inside:
            effort = _EFFORTS[kind]
            yield Remedy(text, effort, gained_mg / 1000.0, better.mass_mg / 1000.0, inside)


def _quick(posed: Posed, deadline: Deadline, *, lighter: bool) -> Layout | None:
    """Return a plan that meets the limit and the window, or else the heaviest one."""
    parts = Decomposition(sums_of(posed))
    first = parts.settle(Level.HEIGHT, Settled(short=0, outside=0), deadline)
    if first.layout is not None:
        return first.layout
    if not lighter:
        return None
    verdict = parts.settle(Level.MASS, Settled(), deadline)
    return verdict.layout


def _relaxations(task: BallastTask) -> Iterator[tuple[str, str, BallastTask]]:
    """Yield each single change: its sort, its words, the task with it."""
    cavity = task.cavity
    for number, keep_out in enumerate(cavity.keep_outs):
        if any(part in keep_out.name for part in _FIRM):
            continue
        kept = cavity.keep_outs[:number] + cavity.keep_outs[number + 1 :]
        yield (
            "remove",
            f"taking out the {keep_out.name}",
            replace(task, cavity=replace(cavity, keep_outs=kept)),
        )
    for number, piece in enumerate(task.stock):
        more = replace(piece, count=piece.count + 1)
        stock = (*task.stock[:number], more, *task.stock[number + 1 :])
        yield "buy", f"one more {piece.name}", replace(task, stock=stock)
    if task.putty is None:
        yield (
            "putty",
            f"up to {_MORE_PUTTY_G:g} g of putty",
            replace(task, putty=Putty(9.0, _MORE_PUTTY_G)),
        )
    for number, piece in enumerate(task.stock):
        if piece.lies_flat:
            free = replace(piece, lie_flat=False)
            stock = (*task.stock[:number], free, *task.stock[number + 1 :])
            yield "edge", f"laying the {piece.name} on edge", replace(task, stock=stock)
    for number, surface in enumerate(cavity.ceiling):
        if surface.clearance_mm > 0.0:
            closer = replace(surface, clearance_mm=0.0)
            ceiling = (*cavity.ceiling[:number], closer, *cavity.ceiling[number + 1 :])
            yield (
                "clearance",
                f"going right up to the {surface.name}",
                replace(task, cavity=replace(cavity, ceiling=ceiling)),
            )


def _sentence(
    posed: Posed, outcome: Outcome, remedies: list[Remedy], nowhere: tuple[str, ...]
) -> str:
    layout, target_g = outcome.layout, posed.balance.target_mg / 1000.0
    parts = []
    proven = ", proven" if outcome.level(Level.MASS).proven else ""
    if layout.score.short:
        short_g = target_g - layout.mass_mg / 1000.0
        parts.append(f"{short_g:.2f} g short of {target_g:.2f} g{proven}: {_binds(posed, layout)}")
    if layout.score.outside:
        parts.append(_balance_words(posed, layout))
    if nowhere:
        parts.append(f"no room anywhere for the {' or the '.join(nowhere)}")
    told = [
        f"{one.text} would reach {one.reached_g:.2f} g"
        + ("" if one.inside else ", outside the window")
        for one in remedies[:3]
    ]
    parts.append(", ".join(told) if told else "no single change that was tried helps")
    return "; ".join(parts) + "."


def _binds(posed: Posed, layout: Layout) -> str:
    spare = spare_names(posed, layout)
    if spare:
        return f"there is no room for another {' or '.join(spare[:3])}"
    used = len(layout.laid)
    if used == sum(kind.count for kind in posed.kinds if not kind.is_putty and not kind.cut_mm):
        return "every piece in the drawer is in"
    return "no sum of the pieces left comes nearer"


def _balance_words(posed: Posed, layout: Layout) -> str:
    """Return how far outside its limits the centre of gravity is."""
    place = [moment / layout.mass_mg / 100.0 for moment in layout.moments]
    low, high = (end / 100.0 for end in posed.balance.window)
    if place[0] < low:
        return f"the centre of gravity is {low - place[0]:.2f} mm behind its window"
    if place[0] > high:
        return f"the centre of gravity is {place[0] - high:.2f} mm ahead of its window"
    return f"the centre of gravity is {abs(place[1]):.2f} mm to the side, more than allowed"
