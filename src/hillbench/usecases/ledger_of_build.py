"""The mass ledger of a build: planned, expected, weighed, and how it stands against the limit."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from sqlalchemy.orm import Session

from hillbench.building.cause import Part
from hillbench.building.guard_band import Verdict, judge_mass
from hillbench.building.ledger import Entry, Line, keep_ledger
from hillbench.building.screw_mass import STEEL_G_CM3
from hillbench.records import reading_store, weighing_store
from hillbench.records.build_entities import BuildRecord, StepRecord
from hillbench.records.entities import Reading
from hillbench.uncertainty import Estimate
from hillbench.usecases.begin_build import other_scale

CHANCE_ALLOWED: Final = 0.05
"""Chance of being over on the scale that decides, for the guard band."""


@dataclass(frozen=True, slots=True)
class Ledger:
    """The mass of a car through a build.

    Attributes
    ----------
    start
        What the car weighed before the build, g; None where it was never weighed.
    lines
        One for each step: those done in the order they were done, then those to come.
    final
        What the finished car weighs, or is expected to, g; None where nothing was weighed.
    is_weighed
        Whether it was weighed after the last step with a mass, so that `final` is measured.
    verdict
        How that stands against the limit of the class; None without either.
    """

    start: Estimate | None
    lines: tuple[Line, ...]
    final: Estimate | None
    is_weighed: bool
    verdict: Verdict | None

    def line(self, key: str) -> Line:
        """Return the line of the step with a key."""
        return next(line for line in self.lines if line.entry.key == key)

    def worst(self) -> Line | None:
        """Return the latest line whose weighing disagrees; None where all agree."""
        return next((line for line in reversed(self.lines) if line.disagrees), None)


def ledger_of(session: Session, build: BuildRecord, steps: Sequence[StepRecord]) -> Ledger:
    """Return the ledger of a build.

    Parameters
    ----------
    session
        An open session.
    build
        The build.
    steps
        Its steps in order.
    """
    start = _start(session, build)
    done = [one for one in steps if one.done_at is not None]
    done.sort(key=lambda one: (one.done_at is None, one.done_at, one.position))
    ordered = [*done, *(one for one in steps if one.done_at is None)]
    entries = [
        Entry(
            one.step.key,
            one.step.title,
            one.step.changes,
            one.done_at is not None,
            one.weighed if one.done_at is not None else None,
        )
        for one in ordered
    ]
    readings = reading_store.current_readings(session, build.car_id)
    lines = keep_ledger(entries, start, loose_parts(readings))
    final = lines[-1].after if lines else start
    verdict = None
    if final is not None and build.limit_g is not None:
        verdict = judge_mass(final, build.limit_g, other_scale(build), CHANCE_ALLOWED)
    return Ledger(start, lines, final, _is_weighed(entries), verdict)


def loose_parts(readings: Mapping[str, Reading]) -> tuple[Part, ...]:
    """Return parts of a car that may be forgotten beside the scale, as far as known.

    Parameters
    ----------
    readings
        What was measured of the car, by quantity.
    """
    wheel = readings.get("wheel_mass_g")
    if wheel is None:
        return ()
    parts = [Part("a wheel", wheel.value)]
    axle, width = readings.get("axle_diameter_mm"), readings.get("track_width_mm")
    if axle is not None and width is not None:
        rod_g = math.pi / 4.0 * axle.value**2 * width.value / 1000.0 * STEEL_G_CM3
        parts.append(Part("an axle with its two wheels", 2.0 * wheel.value + rod_g))
    return tuple(parts)


def _start(session: Session, build: BuildRecord) -> Estimate | None:
    """Return what the car weighed last before the build."""
    before = [
        one
        for one in weighing_store.list_weighings(session, build.car_id)
        if one.at <= build.created_at
    ]
    return before[0].estimate() if before else None


def _is_weighed(entries: Sequence[Entry]) -> bool:
    for entry in reversed(entries):
        if entry.weighed is not None:
            return True
        if entry.changes:
            return False
    return False
