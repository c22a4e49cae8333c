"""Builds in the exported bench."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Annotated, Any

from pydantic import AwareDatetime, Field

from hillbench.building.caution import Caution
from hillbench.building.order import Place, put_in_order
from hillbench.building.step import Link, StepKind
from hillbench.errors import InvalidInput, Problem
from hillbench.records.build_entities import BuildState
from hillbench.records.document import Document, Id, Named, Removable

Minute = Annotated[int, Field(ge=0, le=1440)]


class StepChange(Document):
    """Something added to the car or taken off it."""

    name: str
    """What it is called."""
    mass_g: float
    """Mass of one, negative for what is taken off, g."""
    uncertainty_g: Annotated[float, Field(ge=0.0)]
    """Standard uncertainty of that, g."""
    count: Annotated[int, Field(ge=1)]
    """How many."""


class StepDraw(Document):
    """What a step takes out of the drawer."""

    item_id: Id
    """The item."""
    amount: Annotated[float, Field(gt=0.0)]
    """How much, in the unit of the item."""


class PlannedStep(Document):
    """A step as planned."""

    key: Annotated[str, Field(min_length=1)]
    """Short name, unique in its build; other steps wait for it by this name."""
    kind: StepKind
    """What is done."""
    title: str
    """What to do, in a few words."""
    text: str
    """How to do it."""
    tool: str
    """What it is done with."""
    size: str
    """Its size in words."""
    depth_mm: float | None = None
    """How deep to go, mm."""
    minutes: Annotated[float, Field(ge=0.0)]
    """How long it takes."""
    wait_minutes: Annotated[float, Field(ge=0.0)]
    """How long it must be left alone afterwards."""
    wait_for: str
    """What that time is for."""
    waits_for: list[str]
    """Keys of the steps that must be done before it."""
    cautions: list[Caution]
    """What can hurt here."""
    changes: list[StepChange]
    """What it does to the mass."""
    draws: list[StepDraw]
    """What it takes out of the drawer."""
    weighs: bool
    """Whether the car is weighed at its end."""
    link: Link
    """Page on which its result is entered."""


class BuildStep(Removable, PlannedStep):
    """A step of a build, as planned and as done."""

    build_id: Id
    """The build."""
    position: Annotated[int, Field(ge=1)]
    """Its place in the order."""
    done_at: AwareDatetime | None = None
    """When it was checked off."""
    wait_ends_at: AwareDatetime | None = None
    """Until when it must be left alone."""
    note: str
    """What was noted at it."""
    readings_g: list[float]
    """What the scale said at its end, g."""
    scale_resolution_g: float | None = None
    """Smallest step of that scale, g."""
    weighing_id: Id | None = None
    """The weighing of the car that was kept with it."""
    photo_id: Id | None = None
    """The photo that was taken at it last."""
    draft: dict[str, str]
    """What was typed and is not kept yet."""


class Build(Removable):
    """One round of work on a car."""

    car_id: Id
    """The car."""
    name: str
    """What it is called."""
    note: str
    """May be empty."""
    state: BuildState
    """Where it stands."""
    plan: dict[str, Any]
    """What was entered to plan it."""
    limit_g: float | None = None
    """Most mass of its class, g."""
    other_scale_step_g: float
    """Smallest step of the scale that decides, g."""
    meet_at: AwareDatetime | None = None
    """When it must be ready."""
    bench_from_minute: Minute
    """Time at the bench begins, minutes after midnight."""
    bench_to_minute: Minute
    """Time at the bench ends, minutes after midnight."""
    current_key: str
    """The step being worked on; empty for the first that is not done."""
    clock_seen_at: AwareDatetime
    """Latest moment at which the clock was looked at."""
    created_at: AwareDatetime
    """When it was planned."""
    changed_at: AwareDatetime
    """When it was last changed."""
    ended_at: AwareDatetime | None = None
    """When it was finished or abandoned."""


class BuildTemplate(Named):
    """Steps to begin another build from."""

    steps: list[PlannedStep]
    """In order."""


def check_builds(
    builds: Sequence[Build],
    steps: Sequence[BuildStep],
    templates: Sequence[BuildTemplate],
    item_ids: Collection[int],
) -> Iterator[Problem]:
    """Yield steps of no build, steps that wait for what is not there, and draws of no item.

    Parameters
    ----------
    builds, steps, templates
        Of the exported bench.
    item_ids
        Numbers of the items in its drawer.
    """
    known = {build.id for build in builds}
    for index, step in enumerate(steps):
        if step.build_id not in known:
            allowed = "a build of this bench"
            yield Problem(f"build_steps[{index}].build_id", str(step.build_id), allowed)
        for draw in step.draws:
            if draw.item_id not in item_ids:
                where, allowed = f"build_steps[{index}].draws", "items of the drawer"
                yield Problem(where, f"item {draw.item_id}", allowed)
    for index, build in enumerate(builds):
        own = [one for one in steps if one.build_id == build.id and one.removed_at is None]
        yield from _check_order(f"builds[{index}]", own)
    for index, template in enumerate(templates):
        yield from _check_order(f"build_templates[{index}]", template.steps)


def _check_order(where: str, steps: Sequence[PlannedStep]) -> Iterator[Problem]:
    keys = [step.key for step in steps]
    if len(set(keys)) != len(keys):
        yield Problem(f"{where}.steps", "two steps with one key", "a key of its own for each")
        return
    try:
        put_in_order([Place(step.key, step.title, tuple(step.waits_for)) for step in steps])
    except InvalidInput as wrong:
        yield from wrong.problems
