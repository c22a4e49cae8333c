"""A car as it was at the time of a run: its mass, its balance and the state of its bearings."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final, TypeVar

from sqlalchemy.orm import Session

from hillbench.coasting.car import Car, check_car
from hillbench.errors import InvalidInput, Problem
from hillbench.fitting.change import WHEEL_FIELDS
from hillbench.fitting.readings import AS_IT_IS
from hillbench.records import bench_test_store, car_store, reading_store, weighing_store
from hillbench.records.bench_test_entities import RollTestRecord
from hillbench.records.entities import CarRecord, Reading, Weighing
from hillbench.usecases.bearing_states import FrictionRead, bearing_states
from hillbench.usecases.describe_car import describe_readings
from hillbench.usecases.spin_tests import car_friction, car_rounds, scatter_of

NEVER_WEIGHED_G: Final = 4.0
"""Standard uncertainty of the mass of a car that was never weighed, g: common practice, no
source."""

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
    axles_set
        How often its axles had been set anew.
    """

    car: Car
    state: str
    mass_uncertainty_g: float
    drag_is_read: bool
    axles_set: int = 0

    @property
    def build(self) -> tuple[float, ...]:
        """What makes it another car when it changes."""
        return (*(float(getattr(self.car, name)) for name in _REBUILT), float(self.axles_set))


@dataclass(frozen=True, slots=True)
class CarHistory:
    """All weighings, readings and roll tests of a car, latest first, and its bearings.

    Attributes
    ----------
    states
        When each state of its bearings began, earliest first.
    frictions
        Every friction of its bearings that was read, earliest first.
    """

    record: CarRecord
    weighings: tuple[Weighing, ...]
    readings: tuple[Reading, ...]
    roll_tests: tuple[RollTestRecord, ...] = ()
    states: tuple[tuple[datetime, str], ...] = ()
    frictions: tuple[FrictionRead, ...] = ()

    def at(self, moment: datetime) -> CarThen:
        """Return the car as it was at a moment.

        What was not read yet is taken from the first reading after it: nobody changed it to
        read it.

        Raises
        ------
        InvalidInput
            If its readings contradict each other, such as a CG outside the wheelbase.
        """
        weighing = _in_force(self.weighings, moment)
        mass = None if weighing is None else weighing.estimate()
        car = self.car_at(moment)
        state = AS_IT_IS
        for begun, name in self.states:
            state = name if begun <= moment else state
        spread = NEVER_WEIGHED_G if mass is None else max(mass.standard_uncertainty, 1e-3)
        return CarThen(
            car, state, spread, "drag_area_cm2" in self._quantities(), self._axles_set(moment)
        )

    def car_at(self, moment: datetime) -> Car:
        """Return the shape and mass of the car at a moment; raises as `at` does."""
        measured = {name: self._reading(name, moment) for name in self._quantities()}
        weighing = _in_force(self.weighings, moment)
        mass = None if weighing is None else weighing.estimate()
        if mass is not None:
            measured["mass_g"] = round(mass.value, 2)
        car = describe_readings(self.record, measured, mass).car
        _require(self.record, car)
        return car

    def _axles_set(self, moment: datetime) -> int:
        """Return how often the axles had been set anew by then."""
        return sum(test.straightened and test.at <= moment for test in self.roll_tests)

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
    history = CarHistory(
        car_store.find_car(session, car_id),
        weighing_store.list_weighings(session, car_id),
        reading_store.list_readings(session, car_id),
        bench_test_store.list_roll_tests(session, car_id),
    )
    rounds = car_rounds(bench_test_store.list_spin_downs(session, car_id), history.car_at)
    states, frictions = bearing_states(
        history.readings,
        [(one, car_friction(one, history.car_at(one.at), scatter_of(rounds))) for one in rounds],
        tuple(sorted(lubricated.get(car_id, ()))),
    )
    return dataclasses.replace(history, states=states, frictions=frictions)


def _in_force(entries: Sequence[EntryT], moment: datetime) -> EntryT | None:
    """Return the latest entry up to a moment, else the first after it; None without any."""
    before = [entry for entry in entries if entry.at <= moment]
    return before[0] if before else (entries[-1] if entries else None)


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
