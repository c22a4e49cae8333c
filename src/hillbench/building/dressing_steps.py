"""Weights, wheels, decals and graphite: what goes into a car and onto it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from hillbench.building.caution import Caution
from hillbench.building.plan import BuildPlan, Fixing, Piece, Wheels
from hillbench.building.step import Link, MassChange, Step, StepKind

_HOUR: Final = 60.0
COAT_G: Final = 0.05
"""Mass of two thin coats on a body of this size, g; common practice, no source."""

_FIXING: Final = {
    Fixing.TAPE: ("double-sided tape", 0.0, "", ()),
    Fixing.CYANOACRYLATE: (
        "cyanoacrylate, sparingly",
        12 * _HOUR,
        "its vapour to leave, which fogs windows and decals",
        (Caution.CYANOACRYLATE,),
    ),
    Fixing.EPOXY: ("epoxy", 12 * _HOUR, "the epoxy to cure", (Caution.EPOXY,)),
}
"""Tool, wait, what for, and cautions of each fixing; common practice, no source."""


def weight_steps(plan: BuildPlan) -> Iterator[Step]:
    """Yield the steps that put weight in.

    Parameters
    ----------
    plan
        What is to be done.
    """
    before: tuple[str, ...] = ("weigh open", "weigh bare")
    for number, piece in enumerate(plan.pieces, start=1):
        yield _fit(number, piece, plan, before)
        before = (f"fit {number}",)
    putty_g = plan.putty_g - later_g(plan)
    if putty_g > 0.0:
        yield _putty(plan, putty_g, before)


def later_g(plan: BuildPlan) -> float:
    """Return the mass that comes after the putty and that a ballast plan did not count, g.

    Parameters
    ----------
    plan
        What is to be done.
    """
    closing, decals, graphite = plan.closing, plan.decals, plan.graphite
    screws_g = 0.0 if closing is None else closing.screws * closing.screw_mass_g
    decals_g = 0.0 if decals is None else decals.mass_g + (COAT_G if decals.sealed else 0.0)
    graphite_g = 0.0 if graphite is None else graphite.rounds * graphite.round_g
    return (0.0 if plan.screws_counted else screws_g) + decals_g + graphite_g


def _putty(plan: BuildPlan, putty_g: float, before: tuple[str, ...]) -> Step:
    stop = "what the ledger expects"
    if plan.putty_stop_g is not None:
        stop = f"{plan.putty_stop_g - later_g(plan):.2f} g"
    later = (
        f"; screws and what else comes later weigh {later_g(plan):.2f} g" if later_g(plan) else ""
    )
    return Step(
        key="putty",
        kind=StepKind.FIT,
        title="Trim the mass with putty",
        text=f"Everything but the screws on the scale. Add putty a crumb at a time, about "
        f"{putty_g:.2f} g, and stop at {stop}{later}.",
        tool="scale, putty",
        minutes=10.0,
        waits_for=before,
        changes=(MassChange("putty", putty_g, 0.03),),
        weighs=True,
    )


def wheel_step(wheels: Wheels) -> Step:
    """Return the step that changes wheels.

    Parameters
    ----------
    wheels
        The new ones.
    """
    return Step(
        key="wheels",
        kind=StepKind.FIT,
        title=f"Change the wheels: {wheels.name}",
        text="One axle at a time; note which end is left.",
        tool="fine pliers",
        minutes=15.0,
        waits_for=("lift", "weigh open", "weigh bare"),
        cautions=(Caution.SMALL_PARTS,),
        changes=(MassChange(f"change to {wheels.name}", wheels.change_g, wheels.uncertainty_g),),
        draws=() if wheels.draw is None else (wheels.draw,),
    )


def decal_steps(plan: BuildPlan) -> Iterator[Step]:
    """Yield the steps that dress the body.

    Parameters
    ----------
    plan
        What is to be done.
    """
    decals = plan.decals
    if decals is None:
        return
    yield Step(
        key="decals",
        kind=StepKind.DECAL,
        title=f"Apply {decals.count} decals" if decals.count > 1 else "Apply the decal",
        text="Wipe the paint with alcohol. Soak each one half a minute in lukewarm water, slide it "
        "into place, press the water out from the middle, and leave it alone.",
        tool="scissors or knife, tweezers, water, soft brush",
        minutes=8.0 + 4.0 * decals.count,
        wait_minutes=12 * _HOUR,
        wait_for="the decals to dry",
        waits_for=("lift", "deburr"),
        cautions=(Caution.BLADE, Caution.SOLVENT),
        changes=(MassChange("decals", decals.mass_g, 0.3 * decals.mass_g),),
        draws=() if decals.draw is None else (decals.draw,),
    )
    if decals.sealed:
        yield Step(
            key="seal",
            kind=StepKind.DECAL,
            title="Seal with a clear coat",
            text="Two thin coats from a hand's length, windows and axles masked.",
            tool="clear coat, masking tape",
            minutes=15.0,
            wait_minutes=24 * _HOUR,
            wait_for="the coat to lose its solvent",
            waits_for=("decals",),
            cautions=(Caution.SOLVENT,),
            changes=(MassChange("clear coat", COAT_G, 0.03),),
        )


def graphite_steps(plan: BuildPlan) -> Iterator[Step]:
    """Yield the rounds of graphite, each with its spin-down.

    Parameters
    ----------
    plan
        What is to be done.
    """
    graphite = plan.graphite
    if graphite is None:
        return
    before: tuple[str, ...] = ("close", "rub check", "seal")
    for number in range(1, graphite.rounds + 1):
        yield Step(
            key=f"graphite {number}",
            kind=StepKind.LUBRICATE,
            title=f"Graphite, round {number}",
            text="A little at each bearing, spin it in by hand, tap the rest out. Time a spin-down "
            "of each wheel: when a round gains nothing measurable, leave out the rest.",
            tool=f"{graphite.name}, tray, soft brush",
            minutes=10.0,
            waits_for=before,
            cautions=(Caution.GRAPHITE,),
            changes=(MassChange(graphite.name, graphite.round_g, 0.5 * graphite.round_g),),
            draws=() if graphite.draw is None else (graphite.draw,),
            link=Link.TESTS,
        )
        before = (f"graphite {number}",)


def _fit(number: int, piece: Piece, plan: BuildPlan, before: tuple[str, ...]) -> Step:
    tool, wait_minutes, wait_for, cautions = _FIXING[plan.fixing]
    if number < len(plan.pieces):  # the next may go in at once; all glue rests after the last
        wait_minutes, wait_for = 0.0, ""
    what = piece.name if piece.count == 1 else f"{piece.count} × {piece.name}"
    found = [*([Caution.LEAD] if piece.is_lead else []), *cautions, Caution.SMALL_PARTS]
    return Step(
        key=f"fit {number}",
        kind=StepKind.FIT,
        title=f"Fit {what}" if len(plan.pieces) == 1 else f"Fit piece {number}: {what}",
        text=piece.place or "Try it dry first; nothing may touch an axle, a post or the base.",
        tool=tool,
        size=f"{piece.mass_g:.2f} g" + ("" if piece.count == 1 else " each"),
        minutes=4.0 + 2.0 * piece.count,
        wait_minutes=wait_minutes,
        wait_for=wait_for,
        waits_for=before,
        cautions=tuple(found),
        changes=(MassChange(piece.name, piece.mass_g, piece.uncertainty_g, piece.count),),
        draws=() if piece.draw is None else (piece.draw,),
    )
