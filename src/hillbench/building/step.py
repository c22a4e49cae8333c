"""One step of a build, and what it does to the mass of the car."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from hillbench.building.caution import Caution


class StepKind(StrEnum):
    """What is done in a step."""

    CHOOSE = "choose"
    WEIGH = "weigh"
    DRILL = "drill"
    TAP = "tap"
    CUT = "cut"
    FIT = "fit"
    CHECK = "check"
    DECAL = "decal"
    CLOSE = "close"
    LUBRICATE = "lubricate"
    PROVE = "prove"
    OWN = "own"


class Link(StrEnum):
    """Page of the car on which the result of a step is entered; empty for none."""

    NONE = ""
    TESTS = "tests"
    CLOCK = "clock"


@dataclass(frozen=True, slots=True)
class MassChange:
    """Something that is added to the car or taken off it.

    Attributes
    ----------
    name
        What it is called.
    mass_g
        Mass of one; negative for what is taken off, g.
    uncertainty_g
        Standard uncertainty of that, g.
    count
        How many there are.
    """

    name: str
    mass_g: float
    uncertainty_g: float
    count: int = 1

    @property
    def total_g(self) -> float:
        """Mass of all of them, g."""
        return self.mass_g * self.count

    @property
    def total_uncertainty_g(self) -> float:
        """Standard uncertainty of that, g.

        Pieces that are alike share the error of the mass noted for them, so it adds up in
        full (JCGM 100:2008, 5.2.2, note 1, correlation +1): the cautious case.
        """
        return self.uncertainty_g * self.count


@dataclass(frozen=True, slots=True)
class Draw:
    """What a step takes out of the drawer.

    Attributes
    ----------
    item_id
        Number of the item.
    amount
        How much, in the unit of the item.
    """

    item_id: int
    amount: float


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a build as planned.

    Attributes
    ----------
    key
        Short name, unique in its build; other steps wait for it by this name.
    kind
        What is done.
    title
        What to do, in a few words.
    text
        How to do it; may be empty.
    tool, size
        What it is done with, and its size in words; may be empty.
    depth_mm
        How deep to go, mm; None where that means nothing.
    minutes
        How long it takes at the bench, minutes.
    wait_minutes
        How long whatever waits for this step must leave it alone afterwards, minutes.
    wait_for
        What that time is for, as a clause: ``the film to dry``.
    waits_for
        Keys of the steps that must be done, and left alone, before it.
    cautions
        What can hurt here.
    changes
        What it does to the mass.
    draws
        What it takes out of the drawer.
    weighs
        Whether the car is weighed at its end.
    link
        Page on which its result is entered.
    """

    key: str
    kind: StepKind
    title: str
    text: str = ""
    tool: str = ""
    size: str = ""
    depth_mm: float | None = None
    minutes: float = 5.0
    wait_minutes: float = 0.0
    wait_for: str = ""
    waits_for: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    changes: tuple[MassChange, ...] = ()
    draws: tuple[Draw, ...] = ()
    weighs: bool = False
    link: Link = Link.NONE

    @property
    def change_g(self) -> float:
        """What the step does to the mass in all, g."""
        return math.fsum(change.total_g for change in self.changes)

    @property
    def change_uncertainty_g(self) -> float:
        """Standard uncertainty of that, different things taken as independent, g."""
        return math.hypot(*(change.total_uncertainty_g for change in self.changes))
