"""The form of one step of a build, new or changed."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from hillbench import units
from hillbench.building.caution import Caution
from hillbench.building.step import Link, MassChange, Step, StepKind
from hillbench.web.preferences import Preferences
from hillbench.web.showing import typed_again
from hillbench.web.typed import Answers, default_unit

STEP_LABELS: Final = {
    "title": "The title",
    "text": "How to do it",
    "tool": "The tool",
    "size": "The size",
    "depth_mm": "The depth",
    "minutes": "The time at the bench",
    "wait_minutes": "The wait",
    "wait_for": "What the wait is for",
    "change_g": "The change of mass",
    "change_uncertainty_g": "The uncertainty of that",
    "waits_for": "What it waits for",
}
"""What each field is called in sentences."""

_MINUTES: Final = units.Dimension("time", {"min": 1.0, "h": 60.0, "d": 1440.0, "days": 1440.0})


def read_step(answers: Answers, before: Step | None = None) -> Step:
    """Return the step that a form holds; problems stay with the answers.

    Parameters
    ----------
    answers
        The form.
    before
        The step as it was; None for a new one.
    """
    minutes = answers.quantity("minutes", _MINUTES, required=False)
    wait = answers.quantity("wait_minutes", _MINUTES, required=False)
    depth_mm = answers.quantity("depth_mm", units.LENGTH, required=False)
    change_g = answers.quantity("change_g", units.MASS, required=False)
    spread_g = answers.quantity("change_uncertainty_g", units.MASS, required=False)
    title = answers.text("title")
    base = before or Step("", StepKind.OWN, title)
    step = replace(
        base,
        title=title,
        text=answers.text("text"),
        tool=answers.text("tool"),
        size=answers.text("size"),
        depth_mm=depth_mm,
        minutes=5.0 if minutes is None else minutes,
        wait_minutes=wait or 0.0,
        wait_for=answers.text("wait_for"),
        waits_for=answers.as_typed.values("waits_for"),
        cautions=_cautions(answers),
        weighs=answers.text("weighs") == "on",
        link=base.link if before else Link.NONE,
    )
    if len(base.changes) > 1 or (base.changes and base.changes[0].count > 1):
        return step  # pieces keep their number: the ledger looks for single ones that miss
    if change_g is None:
        return replace(step, changes=())
    name = base.changes[0].name if base.changes else title
    spread_g = 0.1 * abs(change_g) if spread_g is None else spread_g
    return replace(step, changes=(MassChange(name, change_g, spread_g),))


def _cautions(answers: Answers) -> tuple[Caution, ...]:
    """Return the cautions that are ticked, in the order they are always told."""
    ticked = {*answers.as_typed.values("cautions")}
    return tuple(caution for caution in Caution if str(caution) in ticked)


def held_step(step: Step, preferences: Preferences) -> tuple[tuple[str, str], ...]:
    """Return names and texts of a form that shows a step.

    Parameters
    ----------
    step
        The step.
    preferences
        Units of the reader.
    """
    length = default_unit(units.LENGTH, preferences)
    mass = default_unit(units.MASS, preferences)
    held = {name: getattr(step, name) for name in ("title", "text", "tool", "size", "wait_for")}
    held["minutes"] = f"{step.minutes:g}"
    held["wait_minutes"] = f"{step.wait_minutes:g}" if step.wait_minutes else ""
    if step.depth_mm is not None:
        held["depth_mm"] = typed_again(step.depth_mm, units.LENGTH, length)
    if step.changes:
        held["change_g"] = typed_again(step.change_g, units.MASS, mass)
        spread_g = step.change_uncertainty_g
        held["change_uncertainty_g"] = typed_again(spread_g, units.MASS, mass)
    held["weighs"] = "on" if step.weighs else ""
    ticked = [("cautions", str(caution)) for caution in step.cautions]
    return (*held.items(), *(("waits_for", key) for key in step.waits_for), *ticked)
