"""Plain values of tests at the bench: spin-downs, roll tests, coast-outs and rub checks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Wheel(StrEnum):
    """The wheel that was spun; left and right as seen by a driver."""

    FRONT_LEFT = "front left"
    FRONT_RIGHT = "front right"
    REAR_LEFT = "rear left"
    REAR_RIGHT = "rear right"


class SpinTimedBy(StrEnum):
    """What a stop time was taken with."""

    HAND = "hand"
    FILM = "film"


class Travel(StrEnum):
    """Which end of the car went first."""

    NOSE_FIRST = "nose first"
    TAIL_FIRST = "tail first"


class Way(StrEnum):
    """Which way along the floor the car rolled."""

    THERE = "there"
    BACK = "back"


class Turned(StrEnum):
    """Which axles stood end for end, left to right, compared with how the car was built."""

    NONE = "as built"
    FRONT = "front turned"
    REAR = "rear turned"
    BOTH = "both turned"


class RubAnswer(StrEnum):
    """What was seen at one place."""

    FREE = "free"
    RUBS = "rubs"
    NOT_LOOKED = "not looked"


@dataclass(frozen=True, slots=True)
class SpinDownTest:
    """One wheel spun several times in one state of its bearing.

    Attributes
    ----------
    wheel
        Which wheel.
    lubricant
        What the bearing runs in: ``dry``, ``graphite``, ``oil``, or any other word.
    round_number
        Rounds of the lubricant it had by then, 0 before the first.
    stop_times_s
        From the start of the watch until it stood, s, one for each spin.
    start_turns_per_s
        Speed at the start of the watch, turns a second: none where it was not filmed, one
        for all spins, or one for each.
    start_uncertainty_turns_per_s
        Standard uncertainty of these speeds; None where nobody said.
    turns
        Turns until it stood: none where they were not counted, else one for each spin.
    timed_by
        What the stop times were taken with.
    """

    id: int
    car_id: int
    at: datetime
    wheel: Wheel
    lubricant: str
    round_number: int
    stop_times_s: tuple[float, ...]
    start_turns_per_s: tuple[float, ...]
    start_uncertainty_turns_per_s: float | None
    turns: tuple[float, ...]
    timed_by: SpinTimedBy
    note: str = ""
    removed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class FloorRoll:
    """One roll over the floor.

    Attributes
    ----------
    length_m
        Length rolled along the line, m.
    drift_mm
        How far the rear axle ended beside the line, mm, positive to the left as it rolled.
    travel, way, turned
        Which end went first, which way along the floor, and how the axles stood.
    """

    length_m: float
    drift_mm: float
    travel: Travel = Travel.NOSE_FIRST
    way: Way = Way.THERE
    turned: Turned = Turned.NONE


@dataclass(frozen=True, slots=True)
class RollTestRecord:
    """Rolls of one car in one go.

    Attributes
    ----------
    rolls
        In the order rolled.
    drift_uncertainty_mm
        Standard uncertainty of one drift as it was read, mm.
    aim_uncertainty_deg
        Standard uncertainty of the direction in which it was set off, degrees.
    straightened
        Whether the axles were set anew since the test before.
    """

    id: int
    car_id: int
    at: datetime
    rolls: tuple[FloorRoll, ...]
    drift_uncertainty_mm: float
    aim_uncertainty_deg: float
    straightened: bool
    note: str = ""
    removed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class CoastOutRecord:
    """How far one car coasted, on a flat surface or down a hill until it stood.

    Attributes
    ----------
    surface
        Name of the flat surface; empty for a track.
    track_version_id, track_id
        The track it coasted on; None for another surface.
    distances_m
        Each distance, m: from where its entry speed was taken, or from the start line of the
        track where it has none.
    entry_speed_m_s
        Speed at which it came onto the flat, m/s; None where it ran down the track.
    entry_speed_uncertainty_m_s
        Standard uncertainty of that speed, m/s.
    level_uncertainty_deg
        Standard uncertainty of the slope of the surface, degrees.
    """

    id: int
    car_id: int
    at: datetime
    surface: str
    track_version_id: int | None
    track_id: int | None
    distances_m: tuple[float, ...]
    entry_speed_m_s: float | None
    entry_speed_uncertainty_m_s: float | None
    level_uncertainty_deg: float
    note: str = ""
    removed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class RubCheckRecord:
    """What was looked at for rubbing, and what was seen.

    Attributes
    ----------
    answers
        What was seen at each place, by its name.
    """

    id: int
    car_id: int
    at: datetime
    answers: Mapping[str, RubAnswer]
    note: str = ""
    removed_at: datetime | None = None


BenchTestRecord = SpinDownTest | RollTestRecord | CoastOutRecord | RubCheckRecord
"""Any test at the bench."""
