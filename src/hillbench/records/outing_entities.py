"""Plain values of the clock: outings, edits of runs and rules for reading times."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import Any


@dataclass(frozen=True, slots=True)
class Conditions:
    """What the day was like; None where nobody noted it.

    Attributes
    ----------
    temperature_c
        Air temperature, °C.
    humidity_percent
        Relative humidity, %.
    surface_cleaned
        Whether the track was cleaned before.
    lubricant_note
        What the bearings were lubricated with, and how long ago; may be empty.
    """

    temperature_c: float | None = None
    humidity_percent: float | None = None
    surface_cleaned: bool | None = None
    lubricant_note: str = ""


@dataclass(frozen=True, slots=True)
class PlannedTurn:
    """One turn of an outing as planned.

    Attributes
    ----------
    start
        Number of the start, from 1; cars that run side by side share it.
    car_id
        The car.
    lane
        The lane it runs on; None where there is only one.
    """

    start: int
    car_id: int
    lane: str | None


@dataclass(frozen=True, slots=True)
class Plan:
    """Which cars run, on how many lanes, and in which order.

    Attributes
    ----------
    car_ids
        Cars in the order chosen.
    lanes
        Lanes of the track in use, 1 or more.
    together
        Whether cars start side by side.
    turns
        The turns to follow; when all are done they begin again.
    """

    car_ids: tuple[int, ...] = ()
    lanes: int = 1
    together: bool = False
    turns: tuple[PlannedTurn, ...] = ()


@dataclass(frozen=True, slots=True)
class Outing:
    """Runs made in one go on one track as it was then.

    Attributes
    ----------
    matters_s
        Gap below which nobody cares, s; None where nobody said.
    conditions
        What the day was like.
    plan
        Which cars run in which order.
    """

    id: int
    track_version_id: int
    track_id: int
    begun_at: datetime
    matters_s: float | None
    note: str
    conditions: Conditions = field(default_factory=Conditions)
    plan: Plan = field(default_factory=Plan)
    removed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class RunEdit:
    """What a timed run said until it was edited.

    Attributes
    ----------
    at
        When it was edited.
    finish_time_s, note, lane, car_id, gate_times_s
        As they were until then.
    """

    id: int
    run_id: int
    at: datetime
    finish_time_s: float | None
    note: str
    lane: str | None
    car_id: int
    gate_times_s: tuple[float | None, ...] = ()


class RuleKind(StrEnum):
    """What a rule for reading times is about."""

    COLUMNS = "columns"
    LINES = "lines"


@dataclass(frozen=True, slots=True)
class ImportRule:
    """How times of one origin are read.

    Attributes
    ----------
    kind
        Columns of a table, or lines of a timer.
    name
        For columns, the headings that they stand under; for lines, what the user called it.
    rule
        The rule itself, as JSON.
    """

    id: int
    kind: RuleKind
    name: str
    rule: dict[str, Any]
    created_at: datetime
    removed_at: datetime | None = None
