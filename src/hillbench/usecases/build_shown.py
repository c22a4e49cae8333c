"""A build as it is shown: plain data that pages and printed sheets read alike."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from hillbench.building.caution import TEXTS, Caution, CautionText
from hillbench.building.ledger import Line
from hillbench.building.step import Step
from hillbench.records.build_entities import BuildRecord, StepRecord
from hillbench.records.drawer_entities import DrawerItem
from hillbench.records.entities import CarRecord, Photo
from hillbench.usecases.cost_of_car import Cost
from hillbench.usecases.date_build import BuildDates, StepDate
from hillbench.usecases.find_bit import BitAtHand
from hillbench.usecases.ledger_of_build import Ledger


class StepState(StrEnum):
    """Where a step stands."""

    DONE = "done"
    RESTING = "resting"
    READY = "ready"
    WAITING = "waiting"


@dataclass(frozen=True, slots=True)
class Supply:
    """What a step takes out of the drawer.

    Attributes
    ----------
    item
        The item.
    amount
        How much, in its unit.
    short
        Whether the drawer holds too little of it for what is left of the build.
    """

    item: DrawerItem
    amount: float
    short: bool

    @property
    def words(self) -> str:
        """The amount with its unit."""
        return self.item.unit.amount(self.amount)


@dataclass(frozen=True, slots=True)
class ShownStep:
    """One step with all that is known about it.

    Attributes
    ----------
    record
        As planned and as done.
    state
        Where it stands.
    waits_for
        Titles of what it still waits for.
    rest_ends_at
        When what it, or what it waits for, must be left alone is over; None where nothing rests.
    line
        Its line of the ledger.
    supplies
        What it takes out of the drawer.
    bit
        The drill it needs, as far as the drawer knows; None for none.
    date
        Its latest time; None without a day to be ready by, or where it finds none.
    photo
        The photo taken at it last.
    """

    record: StepRecord
    state: StepState
    waits_for: tuple[str, ...]
    rest_ends_at: datetime | None
    line: Line
    supplies: tuple[Supply, ...]
    bit: BitAtHand | None
    date: StepDate | None
    photo: Photo | None

    @property
    def step(self) -> Step:
        """As planned."""
        return self.record.step

    @property
    def cautions(self) -> tuple[tuple[Caution, CautionText], ...]:
        """What can hurt here, and why."""
        return tuple((one, TEXTS[one]) for one in self.step.cautions)


@dataclass(frozen=True, slots=True)
class ShownBuild:
    """A build with everything about it.

    Attributes
    ----------
    build
        As entered.
    car
        The car.
    steps
        In order.
    current
        The step in hand; None where all are done.
    meanwhile
        Steps that can be done now beside the one in hand.
    ledger
        Of its mass.
    dates
        Latest times; None without a day to be ready by.
    cost
        What it drew from the drawer.
    """

    build: BuildRecord
    car: CarRecord
    steps: tuple[ShownStep, ...]
    current: ShownStep | None
    meanwhile: tuple[ShownStep, ...]
    ledger: Ledger
    dates: BuildDates | None
    cost: Cost

    @property
    def done_count(self) -> int:
        """How many steps are done."""
        return sum(one.record.done_at is not None for one in self.steps)

    @property
    def resting(self) -> tuple[ShownStep, ...]:
        """Steps that are done and must still be left alone."""
        return tuple(one for one in self.steps if one.state is StepState.RESTING)

    @property
    def minutes_left(self) -> float:
        """Time at the bench of the steps that are left, minutes."""
        return sum(one.step.minutes for one in self.steps if one.record.done_at is None)

    def step_named(self, key: str) -> ShownStep | None:
        """Return the step with a key; None where there is none."""
        return next((one for one in self.steps if one.step.key == key), None)


@dataclass(frozen=True, slots=True)
class BuildSummary:
    """A build in a list.

    Attributes
    ----------
    build
        As entered.
    car
        The car.
    done, total
        Steps that are done, and all.
    """

    build: BuildRecord
    car: CarRecord
    done: int
    total: int
