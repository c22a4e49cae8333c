"""Tests at the bench in the exported bench."""

from __future__ import annotations

from typing import Annotated

from pydantic import AwareDatetime, Field

from hillbench.records.bench_test_entities import (
    RubAnswer,
    SpinTimedBy,
    Travel,
    Turned,
    Way,
    Wheel,
)
from hillbench.records.document import Document, Id, Removable

Positive = Annotated[float, Field(gt=0.0, le=1e6)]
NotNegative = Annotated[float, Field(ge=0.0, le=1e6)]


class BenchTest(Removable):
    """A test of one car."""

    car_id: Id
    """The car."""
    at: AwareDatetime
    """When it was made."""
    note: str
    """May be empty."""


class SpinDown(BenchTest):
    """One wheel spun several times in one state of its bearing."""

    wheel: Wheel
    """Which wheel; left and right as seen by a driver."""
    lubricant: str
    """What the bearing runs in, in a word."""
    round_number: Annotated[int, Field(ge=0, le=1000)]
    """Rounds of the lubricant it had by then; 0 before the first."""
    stop_times_s: Annotated[list[Positive], Field(min_length=1)]
    """From the start of the watch until it stood, s, one for each spin."""
    start_turns_per_s: list[Positive] = Field(default_factory=list)
    """Speed at the start of the watch, turns a second: none, one for all, or one for each."""
    start_uncertainty_turns_per_s: NotNegative | None = None
    """Standard uncertainty of these speeds, turns a second."""
    turns: list[Positive] = Field(default_factory=list)
    """Turns until it stood: none, or one for each spin."""
    timed_by: SpinTimedBy
    """What the stop times were taken with."""


class FloorRoll(Document):
    """One roll over the floor."""

    length_m: Positive
    """Length rolled along the line, m."""
    drift_mm: float
    """How far the rear axle ended beside the line, mm, positive to the left as it rolled."""
    travel: Travel
    """Which end of the car went ahead."""
    way: Way
    """Which way along the floor it rolled."""
    turned: Turned
    """Which axles stood end for end, compared with how the car was built."""


class RollTest(BenchTest):
    """Rolls of one car in one go."""

    rolls: Annotated[list[FloorRoll], Field(min_length=1)]
    """In the order rolled."""
    drift_uncertainty_mm: NotNegative
    """Standard uncertainty of one drift as it was read, mm."""
    aim_uncertainty_deg: NotNegative
    """Standard uncertainty of the direction in which it was set off, degrees."""
    straightened: bool
    """Whether the axles were set anew since the test before."""


class CoastOut(BenchTest):
    """How far a car coasted, on a flat surface or down a hill until it stood."""

    surface: str
    """Name of the flat surface; empty for a track."""
    track_version_id: Id | None = None
    """The track as it was then; null for another surface."""
    track_id: Id | None = None
    """The track; null for another surface."""
    distances_m: Annotated[list[Positive], Field(min_length=1)]
    """Each distance, m, from where the entry speed was taken or else from the start line."""
    entry_speed_m_s: Positive | None = None
    """Speed at which it came onto the flat, m/s; null where it ran down the track."""
    entry_speed_uncertainty_m_s: NotNegative | None = None
    """Standard uncertainty of that speed, m/s."""
    level_uncertainty_deg: NotNegative
    """Standard uncertainty of the slope of the surface, degrees."""


class RubCheck(BenchTest):
    """What was looked at for rubbing, and what was seen."""

    answers: dict[str, RubAnswer]
    """What was seen at each place, by its name."""
