"""A car as it was at the time of a run: its mass, its balance and the state of its bearings."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final, TypeVar

from sqlalchemy.orm import Session

from hillbench.coasting.car import Car, check_car
from hillbench.errors import InvalidInput, Problem
from hillbench.fitting.change import WHEEL_FIELDS
from hillbench.fitting.prior import BEARING_MEDIANS
from hillbench.fitting.readings import AS_IT_IS
from hillbench.records import car_store, reading_store, weighing_store
from hillbench.records.entities import CarRecord, Reading, Weighing
from hillbench.usecases.describe_car import describe_readings

NEVER_WEIGHED_G: Final = 4.0
"""Standard uncertainty of the mass of a car that was never weighed, g: common practice, no
source."""

SAME_STATE: Final = 0.2
"""Relative change of bearing friction up to which a reading is the same state read again: a
spin-down is good to about 11 %."""

_REBUILT: Final = (*WHEEL_FIELDS, "wheel_count", "drag_area_cm2")
"""Quantities whose change makes another car of it; the rest is taken as read better later."""

_AS_READ_THEN: Final = (*_REBUILT, "cg_ahead_of_rear_axle_mm")

EntryT = TypeVar("EntryT", Weighing, Reading)


@dataclass(frozen=True, slots=True)
class CarThen:
    """A car as it was at one moment.

    Attributes
    ----------
    car
        As the hill sees it.
    state
        State of its bearings, in words.
    mass_uncertainty_g
        Standard uncertainty of its mass, g.
    drag_is_read
        Whether its drag area was read, not assumed.
    """

    car: Car
    state: str
    mass_uncertainty_g: float
    drag_is_read: bool

    @property
    def build(self) -> tuple[float, ...]:
        """What makes it another car when it changes."""
        return tuple(float(getattr(self.car, name)) for name in _REBUILT)


@dataclass(frozen=True, slots=True)
class CarHistory:
    """All weighings and readings of a car, latest first, and when it was lubricated.

    Attributes
    ----------
    lubricated
        Moment and lubricant, where outings say so, earliest first.
    """

    record: CarRecord
    weighings: tuple[Weighing, ...]
    readings: tuple[Reading, ...]
    lubricated: tuple[tuple[datetime, str], ...] = ()

    def at(self, moment: datetime) -> CarThen:
        """Return the car as it was at a moment.

        What was not read yet is taken from the first reading after it: nobody changed it to
        read it.

        Raises
        ------
        InvalidInput
            If its readings contradict each other, such as a CG outside the wheelbase.
        """
        measured = {name: self._reading(name, moment) for name in self._quantities()}
        weighing = _in_force(self.weighings, moment)
        mass = None if weighing is None else weighing.estimate()
        if mass is not None:
            measured["mass_g"] = round(mass.value, 2)
        car = describe_readings(self.record, measured, mass).car
        _require(self.record, car)
        state = AS_IT_IS
        for begun, name in self.states():
            state = name if begun <= moment else state
        spread = NEVER_WEIGHED_G if mass is None else max(mass.standard_uncertainty, 1e-3)
        return CarThen(car, state, spread, "drag_area_cm2" in measured)

    def states(self) -> tuple[tuple[datetime, str], ...]:
        """Return when each state of the bearings began, earliest first."""
        read = [(reading.at, name) for reading, name in self.spins()]
        return tuple(sorted([*read, *self.lubricated], key=lambda one: one[0]))

    def spins(self) -> Iterator[tuple[Reading, str]]:
        """Yield each reading of the bearing friction with the state it was taken in."""
        state, value = "", 0.0
        for reading in reversed(self.readings):
            if reading.quantity != "bearing_friction":
                continue
            word = lubricant_in(reading.note)
            moved = abs(reading.value - value) > SAME_STATE * value
            if not state:
                state = word or AS_IT_IS
            elif moved or (word and word != state):
                state = word if word and word != state else _since(reading.at)
            value = reading.value
            yield reading, state

    def _quantities(self) -> set[str]:
        return {reading.quantity for reading in self.readings}

    def _reading(self, name: str, moment: datetime) -> float:
        own = tuple(reading for reading in self.readings if reading.quantity == name)
        found = _in_force(own, moment) if name in _AS_READ_THEN else own[0]
        return own[0].value if found is None else found.value


def read_history(
    session: Session, car_id: int, lubricated: Mapping[int, Sequence[tuple[datetime, str]]]
) -> CarHistory:
    """Return the history of a car; `lubricated` tells when each car was, by number."""
    return CarHistory(
        car_store.find_car(session, car_id),
        weighing_store.list_weighings(session, car_id),
        reading_store.list_readings(session, car_id),
        tuple(sorted(lubricated.get(car_id, ()))),
    )


def lubricant_in(note: str) -> str:
    """Return the lubricant that a note speaks of, in a word; empty where it names none."""
    words = note.casefold()
    return next((word for word in BEARING_MEDIANS if word in words), "")


def _in_force(entries: Sequence[EntryT], moment: datetime) -> EntryT | None:
    """Return the latest entry up to a moment, else the first after it; None without any."""
    before = [entry for entry in entries if entry.at <= moment]
    return before[0] if before else (entries[-1] if entries else None)


def _since(at: datetime) -> str:
    return f"since {at.day} {at:%b %Y}"


def _require(record: CarRecord, car: Car) -> None:
    problems = [
        dataclasses.replace(one, where=f"{record.name}, {_plain(one)}") for one in check_car(car)
    ]
    if problems:
        raise InvalidInput(problems)


def _plain(problem: Problem) -> str:
    name = problem.where.removeprefix("car.")
    for unit in ("_mm", "_g", "_cm2"):
        name = name.removesuffix(unit)
    return name.replace("_", " ").replace("cg ", "CG ")
