"""A build and its steps, as plain values."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import Any

from hillbench.building.step import Step
from hillbench.uncertainty import Estimate, repeated_reading


class BuildState(StrEnum):
    """Where a build stands."""

    IN_HAND = "in hand"
    FINISHED = "finished"
    ABANDONED = "abandoned"


@dataclass(frozen=True, slots=True)
class BuildRecord:
    """One round of work on a car.

    Attributes
    ----------
    plan
        What was entered to plan it, to be shown again.
    limit_g
        Most mass of its class, g; None for none.
    other_scale_step_g
        Smallest step of the scale that decides, g.
    meet_at
        When it must be ready; None where nothing presses.
    bench_from_minute, bench_to_minute
        Time at the bench on each day, minutes after midnight by the local clock.
    current_key
        The step being worked on; empty for the first that is not done.
    clock_seen_at
        Latest moment at which the clock was looked at during the build.
    ended_at
        When it was finished or abandoned; None while in hand.
    """

    id: int
    car_id: int
    name: str
    note: str
    state: BuildState
    plan: dict[str, Any]
    limit_g: float | None
    other_scale_step_g: float
    meet_at: datetime | None
    bench_from_minute: int
    bench_to_minute: int
    current_key: str
    clock_seen_at: datetime
    created_at: datetime
    changed_at: datetime
    ended_at: datetime | None = None
    removed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class StepRecord:
    """One step of a build, as planned and as done.

    Attributes
    ----------
    position
        Its place in the order, from 1.
    step
        As planned.
    done_at
        When it was checked off; None while it is not.
    wait_ends_at
        Until when it must be left alone; None without a wait.
    note
        What was noted at it.
    readings_g, scale_resolution_g
        What the scale said at its end and its smallest step, g.
    weighing_id
        The weighing of the car that was kept with it.
    photo_id
        The photo that was taken at it last.
    draft
        What was typed and is not kept yet.
    """

    id: int
    build_id: int
    position: int
    step: Step
    done_at: datetime | None = None
    wait_ends_at: datetime | None = None
    note: str = ""
    readings_g: tuple[float, ...] = ()
    scale_resolution_g: float | None = None
    weighing_id: int | None = None
    photo_id: int | None = None
    draft: dict[str, str] = field(default_factory=dict)
    removed_at: datetime | None = None

    @property
    def weighed(self) -> Estimate | None:
        """What the scale said, with its uncertainty, g; None where it was not asked."""
        if not self.readings_g:
            return None
        return repeated_reading(self.readings_g, self.scale_resolution_g or 0.0)


@dataclass(frozen=True, slots=True)
class BuildTemplate:
    """Steps to begin another build from.

    Attributes
    ----------
    steps
        In order.
    """

    id: int
    name: str
    note: str
    steps: tuple[Step, ...]
    created_at: datetime
    changed_at: datetime
    removed_at: datetime | None = None
