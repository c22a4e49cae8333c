"""Opening a car and closing it again: rivets, threads and screws."""

from __future__ import annotations

from collections.abc import Iterator

from hillbench.building.caution import Caution
from hillbench.building.drilling import drilled_mass, head_mass
from hillbench.building.plan import BuildPlan, Closing, Opening
from hillbench.building.step import MassChange, Step, StepKind

_DRILLING = (Caution.EYES_DRILL, Caution.VICE, Caution.METAL_DUST)


def opening_steps(plan: BuildPlan) -> Iterator[Step]:
    """Yield the steps that open a car and make its posts ready for screws.

    Parameters
    ----------
    plan
        What is to be done.
    """
    if plan.opening is not None:
        yield from _rivets(plan.opening, plan.material)
    if plan.closing is not None:
        yield from _threads(plan)
    if plan.opening is not None or plan.closing is not None:
        yield Step(
            key="deburr",
            kind=StepKind.CUT,
            title="Deburr and clean out",
            text="Twist a larger drill in the fingers at each edge, brush every chip out, wash and "
            "dry: a chip in an axle costs more than any weight gains.",
            tool="countersink or larger drill, brush",
            minutes=8.0,
            waits_for=("lift", "thread hole", "tap"),
            cautions=(Caution.METAL_DUST, Caution.BLADE),
        )


def closing_step(closing: Closing) -> Step:
    """Return the step that screws a car together.

    Parameters
    ----------
    closing
        The screws.
    """
    screw = MassChange(
        closing.screw, closing.screw_mass_g, 0.05 * closing.screw_mass_g, closing.screws
    )
    return Step(
        key="close",
        kind=StepKind.CLOSE,
        title="Close with screws",
        text=f"Turn back until the thread drops in, then forward with two fingers; no more than "
        f"{closing.torque_n_mm:.0f} N mm. Stop where the head seats: more bows the base and "
        "pinches the axles. Spin every wheel again afterwards.",
        tool="screwdriver that fits the head",
        size=f"{closing.screws} × {closing.screw}",
        minutes=8.0,
        waits_for=("rub check", "tap", "decals", "seal"),
        cautions=(Caution.VICE, Caution.SMALL_PARTS),
        changes=(screw,),
        draws=() if closing.draw is None else (closing.draw,),
    )


def _rivets(opening: Opening, material: str) -> Iterator[Step]:
    count = opening.rivets
    head = head_mass(opening.head_mm, opening.head_height_mm, material)
    yield Step(
        key="pilot",
        kind=StepKind.DRILL,
        title="Centre and drill a pilot" if count == 1 else f"Centre and drill {count} pilots",
        text="Mark the middle of the rivet with a centre punch, so that the drill does not walk; "
        "drill slowly and lift it often.",
        tool="centre punch, drill in a pin vice or slow drill",
        size=opening.pilot,
        depth_mm=opening.head_height_mm,
        minutes=4.0 * count,
        waits_for=("weigh bare",),
        cautions=_DRILLING,
    )
    yield Step(
        key="head",
        kind=StepKind.DRILL,
        title="Drill the head off" if count == 1 else "Drill the heads off",
        text="Only as deep as the head is high: stop as the ring comes loose, so that the post "
        "stays whole for its screw. A ring of tape on the drill marks the depth.",
        tool="drill",
        size=opening.head_drill,
        depth_mm=opening.head_height_mm,
        minutes=4.0 * count,
        waits_for=("pilot",),
        cautions=_DRILLING,
        changes=(MassChange("head of a rivet", -head.value, head.standard_uncertainty, count),),
    )
    yield Step(
        key="lift",
        kind=StepKind.CUT,
        title="Lift the base off",
        text="Pry gently at the posts, photograph how everything lies, and put all parts into one "
        "lidded box.",
        tool="plastic pry, lidded box",
        minutes=6.0,
        waits_for=("head",),
        cautions=(Caution.SMALL_PARTS,),
    )


def _threads(plan: BuildPlan) -> Iterator[Step]:
    closing = plan.closing
    if closing is None:
        return
    taken = drilled_mass(closing.drill_mm, closing.drill_depth_mm, plan.material)
    change = MassChange(
        f"hole for {closing.thread}", -taken.value, taken.standard_uncertainty, closing.screws
    )
    yield Step(
        key="thread hole",
        kind=StepKind.DRILL,
        title=f"Drill the posts for {closing.thread}",
        text="Straight down the post, a little at a time, chips brushed out; a ring of tape marks "
        "the depth.",
        tool="drill in a pin vice, square beside it",
        size=closing.drill,
        depth_mm=closing.drill_depth_mm,
        minutes=6.0 * closing.screws,
        waits_for=("lift", "weigh bare"),
        cautions=_DRILLING,
        changes=(change,),
    )
    how = (
        "Drive the screw in and out once, slowly, with a drop of oil: it forms its own thread."
        if closing.formed
        else "A drop of oil, half a turn forward, a quarter back to break the chip; back out and "
        "brush when it binds. Taps are hard and break when bent."
    )
    yield Step(
        key="tap",
        kind=StepKind.TAP,
        title=f"{'Form' if closing.formed else 'Tap'} the threads",
        text=how,
        tool="screwdriver" if closing.formed else "tap in a pin vice",
        size=closing.thread,
        depth_mm=closing.tap_depth_mm,
        minutes=6.0 * closing.screws,
        waits_for=("thread hole",),
        cautions=(Caution.EYES_DRILL, Caution.VICE),
    )
