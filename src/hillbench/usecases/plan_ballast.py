"""Answer where ballast goes: the plan, its proof, its steps, or why there is none."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from hillbench.ballast.aims import Level
from hillbench.ballast.audit import faults
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.entries import require_task
from hillbench.ballast.explain import WhyNot, explain
from hillbench.ballast.places import Posed, pose
from hillbench.ballast.plan import Plan, plan_of, steps_of
from hillbench.ballast.solve import Outcome, solve
from hillbench.ballast.status import bound_g, status_of
from hillbench.ballast.task import BallastTask
from hillbench.errors import HillbenchError, InvalidInput, Problem
from hillbench.usecases.question import read_question

_WHY_SHARE = 0.5
"""Share of the time limit that the search for remedies may add."""

_LONGEST_S = 3600.0
_UNITS = {Level.MASS: 0.01, Level.WINDOW: 0.02, Level.HEIGHT: 0.01, Level.PIECES: 1.0}


class PlanFault(HillbenchError):
    """The independent check found something wrong with a plan, which is not shown."""


@dataclass(frozen=True, slots=True)
class PlacementAnswer:
    """One piece at its place.

    Attributes
    ----------
    number
        Number in building order, from 1.
    name
        As in the stock.
    x_mm, y_mm, z_mm
        Low corner: rearmost, rightmost, lowest, mm.
    size_mm
        Size along, across and up as placed, mm.
    rests_on
        ``floor``, or the name and number of the piece that carries it.
    mass_g
        Mass, g.
    layer
        1 on the floor, 2 on a piece, 3 on a piece on a piece.
    tape_mm
        Thickness of the tape under it, mm.
    cut_mm
        Length to which a strip is cut, mm; null for anything else.
    """

    number: int
    name: str
    x_mm: float
    y_mm: float
    z_mm: float
    size_mm: tuple[float, float, float]
    rests_on: str
    mass_g: float
    layer: int
    tape_mm: float
    cut_mm: float | None


@dataclass(frozen=True, slots=True)
class LevelAnswer:
    """How far one aim is proven.

    Attributes
    ----------
    aim
        ``mass`` (short of the target, g), ``window`` (mm outside), ``height`` (mm) or
        ``pieces`` (number).
    value
        Of the plan, in bands of 0.01 g, 0.02 mm and 0.01 mm.
    bound
        Value that no plan betters, the aims before it being given.
    proven
        Whether it is proven that no plan is better.
    """

    aim: str
    value: float
    bound: float
    proven: bool


@dataclass(frozen=True, slots=True)
class StepAnswer:
    """One thing to do.

    Attributes
    ----------
    number
        Number of the piece.
    text
        What to do.
    scale_reads_g
        What the scale shows after it, g.
    """

    number: int
    text: str
    scale_reads_g: float


@dataclass(frozen=True, slots=True)
class RemedyAnswer:
    """One change, or two together, that would help.

    Attributes
    ----------
    text
        The change.
    gained_g, reached_g
        Mass gained and reached, g.
    inside_window
        Whether the centre of gravity is then inside its limits.
    enough
        Whether nothing is short then.
    freed_cm3
        Volume freed in the cavity, cm³.
    effort
        How much work it is; less is easier.
    sort
        ``edge``, ``putty``, ``clearance``, ``swap``, ``buy`` or ``remove``; of two changes,
        the harder one. ``buy`` and ``swap`` are pieces worth buying.
    """

    text: str
    gained_g: float
    reached_g: float
    inside_window: bool
    enough: bool
    freed_cm3: float
    effort: int
    sort: str


@dataclass(frozen=True, slots=True)
class BallastAnswer:
    """Where the ballast goes.

    Attributes
    ----------
    status
        ``proven best``, ``best found`` or ``impossible``.
    bound_g
        Greatest mass that any plan can reach, as far as proven, g.
    placements
        Pieces in building order, without the putty.
    putty
        The dab of putty; null where none is used.
    total_g
        Mass of the whole car, g.
    cg_ahead_of_rear_axle
        Place of the centre of gravity as a share of the wheelbase.
    cg_ahead_of_rear_axle_mm, cg_side_mm, cg_height_mm
        Its place, mm.
    steps
        What to do, in building order.
    why_not
        What binds and what would free it; null where nothing does.
    remedies
        Changes that would help, best first; two together where no single one is enough.
    fits_nowhere
        Kinds for which there is no room anywhere.
    sensitivity_mm
        How far the centre of gravity moves along the car if every piece lies 0.5 mm off, mm.
    levels
        How far each aim is proven.
    binds
        The surface or part that is most in the way; empty where none is.
    inside_window_g
        Mass that is possible inside the window where the plan lies outside it, g; else null.
    """

    status: str
    bound_g: float
    placements: tuple[PlacementAnswer, ...]
    putty: PlacementAnswer | None
    total_g: float
    cg_ahead_of_rear_axle: float
    cg_ahead_of_rear_axle_mm: float
    cg_side_mm: float
    cg_height_mm: float
    steps: tuple[StepAnswer, ...]
    why_not: str | None
    remedies: tuple[RemedyAnswer, ...]
    fits_nowhere: tuple[str, ...]
    sensitivity_mm: float
    levels: tuple[LevelAnswer, ...]
    binds: str
    inside_window_g: float | None


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan with all that was found on the way.

    Attributes
    ----------
    task
        What was asked.
    posed
        The same in whole numbers.
    outcome
        The best layout and its proof.
    plan
        The plan in millimetres.
    why
        What binds.
    """

    task: BallastTask
    posed: Posed
    outcome: Outcome
    plan: Plan
    why: WhyNot


def read_ballast_question(text: str) -> BallastTask:
    """Return the task in a JSON text; raises `InvalidInput` with every problem of form."""
    return read_question(text, BallastTask)


def check_time_limit(limit_s: float | None) -> None:
    """Raise `InvalidInput` where a time limit cannot be kept."""
    if limit_s is not None and not 0.0 < limit_s <= _LONGEST_S:
        allowed = f"more than 0 and at most {_LONGEST_S:g} s"
        raise InvalidInput([Problem("--time-limit", f"{limit_s:g} s", allowed, "try 10")])


def plan_ballast(
    task: BallastTask,
    *,
    now: Callable[[], float],
    limit_s: float | None = None,
    cancelled: Callable[[], bool] = lambda: False,
    improved: Callable[[Plan], None] = lambda _: None,
    proven: Callable[[Level], None] = lambda _: None,
    explained: bool = True,
) -> Planned:
    """Return the best plan for a car, checked anew.

    It may be called from any thread or process: it shares nothing, installs no signal handler
    and ends its own threads before it returns. A page starts it in a thread, keeps what
    `improved` hands it, and lets `cancelled` say when to stop:
    ``plan_ballast(task, now=time.monotonic, cancelled=stop.is_set, improved=plans.append)``
    with ``stop = threading.Event()``. After a stop it returns within about 0.2 s the best plan
    so far, with what is proven of it.

    Parameters
    ----------
    task
        What is asked.
    now
        A clock that runs evenly, s.
    limit_s
        Most time for the search, s; without it the search goes on until it is proven.
    cancelled
        Whether to stop at once with what is known; asked often, from several threads.
    improved
        Called with the first plan and each better one, one call at a time, from another
        thread; the last one is the plan that is returned.
    proven
        Called with each level as soon as no plan can better it.
    explained
        Whether to look for what would help where the plan falls short. Without it the answer
        comes sooner and only says what is short.

    Raises
    ------
    InvalidInput
        With every entry that cannot be used.
    PlanFault
        If the independent check finds fault with the plan.
    """
    check_time_limit(limit_s)
    posed = pose(require_task(task))
    began, most_s = now(), math.inf if limit_s is None else limit_s
    deadline = Deadline(lambda: began + most_s - now(), cancelled)
    outcome = solve(posed, deadline, lambda layout: improved(plan_of(posed, layout)), proven)
    plan = plan_of(posed, outcome.layout)
    found = faults(task, plan)
    if found:
        raise PlanFault(f"The plan did not pass its check: {'; '.join(found)}.")
    later = now() + (min(most_s * _WHY_SHARE, 10.0) if explained else 0.0)
    why = explain(task, posed, outcome, Deadline(lambda: later - now(), cancelled))
    return Planned(task, posed, outcome, plan, why)


def answer_of(planned: Planned) -> BallastAnswer:
    """Return a plan in the form of the answer file."""
    plan, task, why = planned.plan, planned.task, planned.why
    shown = [
        PlacementAnswer(
            *(one.number, one.name, one.x_mm, one.y_mm, one.z_mm, one.size_mm, one.rests_on),
            *(one.mass_g, one.layer, one.tape_mm, one.cut_mm or None),
        )
        for one in plan.placements
    ]
    putty = shown.pop() if plan.putty is not None else None
    bare_g = sum(thing.mass_g for thing in task.fixed)
    return BallastAnswer(
        status=str(status_of(planned.posed, planned.outcome)),
        bound_g=bound_g(planned.posed, planned.outcome),
        placements=tuple(shown),
        putty=putty,
        total_g=plan.total_g,
        cg_ahead_of_rear_axle=plan.cg_ahead_of_rear_axle_mm / task.wheelbase_mm,
        cg_ahead_of_rear_axle_mm=plan.cg_ahead_of_rear_axle_mm,
        cg_side_mm=plan.cg_side_mm,
        cg_height_mm=plan.cg_height_mm,
        steps=tuple(
            StepAnswer(step.number, step.text, step.scale_reads_g)
            for step in steps_of(plan, bare_g)
        ),
        why_not=why.sentence or None,
        remedies=tuple(
            RemedyAnswer(
                *(one.text, one.gained_g, one.reached_g, one.inside),
                *(one.enough, round(one.freed_cm3, 2), one.effort, one.sort),
            )
            for one in why.remedies
        ),
        fits_nowhere=why.fits_nowhere,
        sensitivity_mm=plan.sensitivity_mm,
        levels=tuple(
            LevelAnswer(
                one.level.name.lower(),
                round(one.value * _UNITS[one.level], 3),
                round(one.bound * _UNITS[one.level], 3),
                one.proven,
            )
            for one in planned.outcome.levels
        ),
        binds=why.binds,
        inside_window_g=why.inside_g,
    )


def tell_plan(planned: Planned) -> str:
    """Return a plan in one sentence."""
    answer = answer_of(planned)
    pieces = len(planned.plan.placements)
    share = 100.0 * answer.cg_ahead_of_rear_axle
    place = f"{share:.1f} % of the wheelbase ahead of the rear axle"
    words = {"proven best": "proven best", "best found": "the best found, not proven"}
    status = words.get(answer.status, "all that is possible")
    return (
        f"{answer.total_g:.2f} g with {pieces} pieces, {status}: centre of gravity {place} and "
        f"{answer.cg_height_mm:.2f} mm high."
    )
