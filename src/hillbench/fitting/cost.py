"""What a change costs: the kinds of work it is made of, and the minutes each takes."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from enum import StrEnum
from typing import Final

from hillbench.fitting.change import WHEEL_FIELDS, Change
from hillbench.fitting.evidence import Setup


class Work(StrEnum):
    """A kind of work on a car."""

    WEIGHT = "weight"
    BALANCE = "balance"
    LUBRICATION = "lubrication"
    AXLES = "axles"
    WHEELS = "wheels"
    AIR = "air"


MINUTES: Final[Mapping[Work, float]] = {
    Work.WEIGHT: 20.0,
    Work.BALANCE: 15.0,
    Work.LUBRICATION: 15.0,
    Work.AXLES: 30.0,
    Work.WHEELS: 25.0,
    Work.AIR: 40.0,
}
"""Minutes that each kind of work typically takes, opening and closing the car included: common
practice, no source."""

_FIELDS: Final[Mapping[Work, tuple[str, ...]]] = {
    Work.WEIGHT: ("mass_g",),
    Work.BALANCE: ("cg_ahead_of_rear_axle_mm", "cg_height_mm"),
    Work.LUBRICATION: ("state",),
    Work.AXLES: ("steer_deg",),
    Work.WHEELS: WHEEL_FIELDS,
}


def works_of(change: Change) -> frozenset[Work]:
    """Return the kinds of work that a change is made of."""
    touched = {
        work
        for work, names in _FIELDS.items()
        if any(getattr(change, name) is not None for name in names)
    }
    return frozenset(touched | ({Work.AIR} if change.drag_area_factor != 1.0 else set()))


def with_minutes(change: Change, minutes: Mapping[Work, float] = MINUTES) -> Change:
    """Return the change with the minutes it typically takes, where none are stated."""
    if change.minutes is not None:
        return change
    works = works_of(change)
    return dataclasses.replace(change, minutes=sum(minutes[work] for work in works))


def added_g(change: Change, setup: Setup) -> float:
    """Return how much weight a change adds to a setup, g; 0 where it adds none."""
    return 0.0 if change.mass_g is None else max(change.mass_g - setup.car.mass_g, 0.0)
