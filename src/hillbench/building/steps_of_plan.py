"""The steps of a plan, in an order that makes sense at the bench.

Minutes and waits are common practice, no source: what stands on the maker's tube counts.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from hillbench.building.caution import Caution
from hillbench.building.dressing_steps import decal_steps, graphite_steps, weight_steps, wheel_step
from hillbench.building.opening_steps import closing_step, opening_steps
from hillbench.building.order import Place, put_in_order
from hillbench.building.plan import BuildPlan
from hillbench.building.step import Link, MassChange, Step, StepKind


def make_steps(plan: BuildPlan) -> tuple[Step, ...]:
    """Return the steps that a plan asks for, each after what it waits for.

    Parameters
    ----------
    plan
        What is to be done.

    Notes
    -----
    Weigh before the first cut, since the bare mass is lost afterwards; drill and cut before
    anything is glued, so that chips can be washed out; dress while the body is off; check for
    rubbing before the screws go in; lubricate last, so that no solvent washes it out.
    """
    steps = list(_all(plan))
    known = {step.key for step in steps}
    kept = [
        replace(step, waits_for=tuple(key for key in step.waits_for if key in known))
        for step in steps
    ]
    by_key = {step.key: step for step in kept}
    order = put_in_order([Place(step.key, step.title, step.waits_for) for step in kept])
    return tuple(by_key[key] for key in order)


def _all(plan: BuildPlan) -> Iterator[Step]:
    yield from _first()
    yield from opening_steps(plan)
    if plan.trim_g > 0.0:
        yield _trim(plan)
    if plan.opening is not None or plan.trim_g > 0.0:
        yield _weigh_open()
    yield from weight_steps(plan)
    if plan.wheels is not None:
        yield wheel_step(plan.wheels)
    yield from decal_steps(plan)
    yield _rub_check(plan)
    if plan.closing is not None:
        yield closing_step(plan.closing)
    yield from graphite_steps(plan)
    yield from _last(plan)


def _first() -> Iterator[Step]:
    yield Step(
        key="choose",
        kind=StepKind.CHOOSE,
        title="Choose the sample",
        text="Roll and time the samples you have, look for bent axles, and take the best one.",
        tool="flat glass, the hill",
        minutes=20.0,
        link=Link.CLOCK,
    )
    yield Step(
        key="weigh bare",
        kind=StepKind.WEIGH,
        title="Weigh it bare",
        text="The whole car as it is, three times, taken off the scale in between.",
        tool="scale",
        minutes=3.0,
        waits_for=("choose",),
        weighs=True,
    )


def _trim(plan: BuildPlan) -> Step:
    what = plan.trim_text or "the interior"
    change = MassChange(f"trimmed from {what}", -plan.trim_g, plan.trim_uncertainty_g)
    return Step(
        key="trim",
        kind=StepKind.CUT,
        title=f"Trim {what}",
        text="Snip off roughly, then cut to a line with a knife. Keep the bits in a lid: weighed, "
        "they tell what came off.",
        tool="snips, knife, cutting board",
        minutes=15.0,
        waits_for=("lift", "weigh bare"),
        cautions=(Caution.EYES_SNIPS, Caution.BLADE, Caution.SMALL_PARTS),
        changes=(change,),
    )


def _weigh_open() -> Step:
    return Step(
        key="weigh open",
        kind=StepKind.WEIGH,
        title="Weigh all parts together",
        text="Every part that goes back in, in one lid; tare the lid first.",
        tool="scale",
        minutes=3.0,
        waits_for=("tap", "deburr", "trim"),
        weighs=True,
    )


def _rub_check(plan: BuildPlan) -> Step:
    waits = ["lift", "weigh open", "wheels", "putty", "decals"]
    waits += [f"fit {number}" for number in range(1, len(plan.pieces) + 1)]
    return Step(
        key="rub check",
        kind=StepKind.CHECK,
        title="Close it by hand and check for rubbing",
        text="Wheels free under the car's own weight, nothing on the axles, the base flat on its "
        "posts. Roll it on glass and watch where it turns to.",
        tool="flat glass, thin paper",
        minutes=10.0,
        waits_for=tuple(waits),
        link=Link.TESTS,
    )


def _last(plan: BuildPlan) -> Iterator[Step]:
    rounds = 0 if plan.graphite is None else plan.graphite.rounds
    waits = ("close", "rub check", "seal", *(f"graphite {n}" for n in range(1, rounds + 1)))
    yield Step(
        key="roll test",
        kind=StepKind.CHECK,
        title="Roll test",
        text="Several rolls on flat glass, turned round in between: the drift is the steer angle.",
        tool="flat glass, ruler",
        minutes=10.0,
        waits_for=waits,
        link=Link.TESTS,
    )
    yield Step(
        key="weigh",
        kind=StepKind.WEIGH,
        title="Weigh the finished car",
        text="" if plan.limit_g is None else f"The class allows {plan.limit_g:g} g.",
        tool="scale",
        minutes=3.0,
        waits_for=waits,
        weighs=True,
    )
    yield Step(
        key="prove",
        kind=StepKind.PROVE,
        title="Prove it on the hill",
        text="Runs with the car as it was before are in the book: the Clock tells what was gained.",
        tool="the hill",
        minutes=30.0,
        waits_for=("roll test", "weigh"),
        link=Link.CLOCK,
    )
