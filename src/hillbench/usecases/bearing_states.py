"""The states that the bearings of a car went through, from all that tells of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from hillbench.fitting.prior import BEARING_MEDIANS
from hillbench.fitting.readings import AS_IT_IS
from hillbench.records.entities import Reading
from hillbench.usecases.spin_tests import CarFriction, CarRound, last_of_sittings

SAME_STATE: Final = 0.2
"""Relative change of bearing friction up to which a reading is the same state read again: a
spin-down is good to about 11 %."""

FROM_SPIN_DOWNS: Final = "From spin-downs"
"""How the note of a reading begins that was made of spin-downs, which count themselves."""


@dataclass(frozen=True, slots=True)
class FrictionRead:
    """A bearing friction of a car, and the state it was read in.

    Attributes
    ----------
    at, state
        When, and in which state of the bearings.
    friction
        The friction.
    spreads
        What of the uncertainty of its logarithm is its own and what every spin-down of the car
        shares; None where nothing is known of how it was taken.
    """

    at: datetime
    state: str
    friction: float
    spreads: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class _Event:
    """Something that tells of the bearings: a lubricant, a friction, or both."""

    at: datetime
    word: str
    friction: float | None = None
    spreads: tuple[float, float] | None = None


def lubricant_in(note: str) -> str:
    """Return the lubricant that a note speaks of, in a word; empty where it names none."""
    words = note.casefold()
    return next((word for word in BEARING_MEDIANS if word in words), "")


def bearing_states(
    readings: Sequence[Reading],
    rounds: Sequence[tuple[CarRound, CarFriction]],
    lubricated: Sequence[tuple[datetime, str]],
) -> tuple[tuple[tuple[datetime, str], ...], tuple[FrictionRead, ...]]:
    """Return when each state of the bearings began, and every friction that was read.

    Parameters
    ----------
    readings
        Readings of a car; those of its bearing friction count.
    rounds
        Rounds of spin-downs, earliest first, each with the friction of the whole car.
    lubricated
        Moments at which somebody noted the lubricant, and which it was.

    Notes
    -----
    A state begins with another lubricant, or where the friction moved by more than a fifth. A
    note that names the lubricant that is in already changes nothing.
    """
    events = [*_of_readings(readings), *_of_rounds(rounds)]
    events += [_Event(at, word) for at, word in lubricated]
    events.sort(key=lambda event: event.at)
    begun: list[tuple[datetime, str]] = []
    frictions: list[FrictionRead] = []
    state, lubricant, last, used = "", "", 0.0, set[str]()
    for event in events:
        other = bool(event.word) and event.word != lubricant
        moved = last > 0.0 and event.friction is not None and _moved(event.friction, last)
        if not state or other or moved:
            name = event.word if other else ("" if state else AS_IT_IS)
            state = name if name and name not in used else f"{name} {_since(event.at)}".strip()
            lubricant = event.word or lubricant
            last = 0.0
        used.add(state)
        begun.append((event.at, state))
        if event.friction is not None:
            last = event.friction
            frictions.append(FrictionRead(event.at, state, event.friction, event.spreads))
    return tuple(begun), tuple(frictions)


def _of_readings(readings: Sequence[Reading]) -> list[_Event]:
    return [
        _Event(one.at, lubricant_in(one.note), one.value)
        for one in reversed(readings)
        if one.quantity == "bearing_friction"
        and one.value > 0.0
        and not one.note.startswith(FROM_SPIN_DOWNS)
    ]


def _of_rounds(rounds: Sequence[tuple[CarRound, CarFriction]]) -> list[_Event]:
    counted = last_of_sittings([one for one, _ in rounds])
    return [
        _Event(
            one.at,
            lubricant_in(one.lubricant) or one.lubricant.casefold(),
            math.exp(friction.log_friction.value),
            (friction.log_friction.standard_uncertainty, friction.shared_spread),
        )
        for one, friction in rounds
        if one in counted
    ]


def _moved(friction: float, last: float) -> bool:
    return abs(friction - last) > SAME_STATE * last


def _since(at: datetime) -> str:
    return f"since {at.day} {at:%b %Y}"
