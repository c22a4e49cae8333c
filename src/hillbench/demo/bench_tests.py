"""Invented tests at the bench: spin-downs with their scatter, rolls, coast-outs, rub checks."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

import numpy as np
from sqlalchemy.orm import Session

from hillbench import constants
from hillbench.coasting.car import Car
from hillbench.records import bench_test_store as store
from hillbench.records.bench_test_entities import (
    CoastOutRecord,
    FloorRoll,
    RollTestRecord,
    RubAnswer,
    RubCheckRecord,
    SpinDownTest,
    SpinTimedBy,
    Travel,
    Turned,
    Way,
    Wheel,
)
from hillbench.usecases.describe_car import describe_in
from hillbench.usecases.rub_places import NAMES

_SPINS: Final = 4
_SPIN_SCATTER: Final = 0.05
_FLICK_TURNS_PER_S: Final = 11.0
_ROLL_M: Final = 2.0
_ROLL_SCATTER_MM: Final = 3.0


@dataclass(frozen=True, slots=True)
class _Round:
    """One round of spin-downs.

    Attributes
    ----------
    days_ago, second
        When.
    lubricant, number
        What the bearings run in, and which round of it.
    frictions
        True friction of each wheel, in the order of `Wheel`; 0 for one that was not spun.
    """

    days_ago: int
    second: int
    lubricant: str
    number: int
    frictions: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class _Rolled:
    """Rolls of one sitting: true directions of the axles, and what the floor adds.

    Attributes
    ----------
    days_ago
        When.
    front_deg, rear_deg
        Directions against the body, degrees, positive to the left.
    floor_1_m
        Curvature that the floor gives a path on the way there, 1/m.
    """

    days_ago: int
    front_deg: float
    rear_deg: float
    floor_1_m: float
    turned: Turned = Turned.NONE
    straightened: bool = False
    note: str = ""


_ROUNDS: Final[Mapping[str, tuple[_Round, ...]]] = {
    "Mustard": (
        _Round(18, -5400, "dry", 0, (0.28, 0.30, 0.27, 0.31)),
        _Round(18, -3600, "graphite", 1, (0.21, 0.22, 0.20, 0.22)),
        _Round(18, -1800, "graphite", 2, (0.17, 0.175, 0.165, 0.175)),
        _Round(18, 0, "graphite", 3, (0.17, 0.172, 0.166, 0.173)),
    ),
    "Night Ferry": (
        _Round(55, 900, "dry", 0, (0.24, 0.25, 0.23, 0.24)),
        _Round(1, 14400, "graphite", 1, (0.165, 0.17, 0.16, 0.165)),
    ),
    "Rhubarb": (_Round(22, 900, "graphite", 1, (0.21, 0.20, 0.22, 0.0)),),
}
_ROLLS: Final[Mapping[str, tuple[_Rolled, ...]]] = {
    "Rhubarb": (
        _Rolled(50, 0.01, 0.22, 0.004, note="Bent rear axle, as it came."),
        _Rolled(22, 0.01, 0.03, 0.004, straightened=True, note="Straightened twice."),
    ),
    "Morning Milk": (_Rolled(12, -0.14, 0.0, 0.003), _Rolled(12, 0.05, 0.0, 0.003, Turned.FRONT)),
    "Night Ferry": (_Rolled(29, 0.004, 0.0, 0.002),),
}


def fill_bench_tests(
    session: Session,
    car_ids: Mapping[str, int],
    moment: Callable[[int, int], datetime],
    rng: np.random.Generator,
) -> None:
    """Add invented tests of some cars.

    Parameters
    ----------
    session
        An open session that writes.
    car_ids
        Number of each car, by its name.
    moment
        Gives the moment so many days ago and seconds into that evening.
    rng
        Source of their scatter.
    """
    for name, rounds in _ROUNDS.items():
        car = describe_in(session, car_ids[name]).car
        for one in rounds:
            at = moment(one.days_ago, one.second)
            _spin(session, car_ids[name], car, one, at, rng)
    for name, rolled in _ROLLS.items():
        wheelbase_m = describe_in(session, car_ids[name]).car.wheelbase_mm / 1e3
        for place, test in enumerate(rolled):
            at = moment(test.days_ago, 1200 + 600 * place)
            _roll(session, car_ids[name], wheelbase_m, test, at, rng)
    _coast_out(session, car_ids["Thimble"], moment(29, 0))
    _look(session, car_ids["Rhubarb"], moment(50, 1800), {"faces": RubAnswer.RUBS})
    _look(session, car_ids["Rhubarb"], moment(22, 1800), {})


def _spin(
    session: Session, car_id: int, car: Car, one: _Round, at: datetime, rng: np.random.Generator
) -> None:
    for wheel, friction in zip(Wheel, one.frictions, strict=True):
        if not friction:
            continue
        speeds = _FLICK_TURNS_PER_S * np.exp(rng.normal(0.0, 0.08, _SPINS))
        spun = friction * np.exp(rng.normal(0.0, _SPIN_SCATTER, _SPINS))
        store.add_spin_down(
            session,
            SpinDownTest(
                id=0,
                car_id=car_id,
                at=at,
                wheel=wheel,
                lubricant=one.lubricant,
                round_number=one.number,
                stop_times_s=tuple(
                    round(_stop_time_s(car, float(mu), float(speed)), 2)
                    for mu, speed in zip(spun, speeds, strict=True)
                ),
                start_turns_per_s=tuple(round(float(speed), 1) for speed in speeds),
                start_uncertainty_turns_per_s=0.3,
                turns=(),
                timed_by=SpinTimedBy.FILM,
                note="120 frames a second" if wheel is Wheel.FRONT_LEFT else "",
            ),
        )


def _stop_time_s(car: Car, friction: float, start_turns_per_s: float) -> float:
    """Return the stop time of a wheel with dry friction: t = k r_w² ω₀/(μ g r_a), s."""
    wheel_m, axle_m = car.wheel_diameter_mm / 2e3, car.axle_diameter_mm / 2e3
    spin = car.wheel_inertia_factor * wheel_m**2 * 2.0 * math.pi * start_turns_per_s
    return spin / (friction * constants.STANDARD_GRAVITY_M_S2 * axle_m)


def _roll(
    session: Session,
    car_id: int,
    wheelbase_m: float,
    test: _Rolled,
    at: datetime,
    rng: np.random.Generator,
) -> None:
    steer = math.radians(test.front_deg - test.rear_deg)
    bend_mm = 1e3 * steer / wheelbase_m * _ROLL_M**2 / 2.0
    aside_mm = 1e3 * math.radians(test.rear_deg) * _ROLL_M
    floor_mm = 1e3 * test.floor_1_m * _ROLL_M**2 / 2.0
    rolls = []
    for travel in Travel:
        for way in Way:
            for _ in range(2):
                ends = bend_mm if travel is Travel.NOSE_FIRST else -bend_mm
                drift = aside_mm + ends + (floor_mm if way is Way.THERE else -floor_mm)
                seen = round(drift + rng.normal(0.0, _ROLL_SCATTER_MM))
                rolls.append(FloorRoll(_ROLL_M, float(seen), travel, way, test.turned))
    store.add_roll_test(
        session,
        RollTestRecord(0, car_id, at, tuple(rolls), 1.0, 0.1, test.straightened, test.note),
    )


def _coast_out(session: Session, car_id: int, at: datetime) -> None:
    distances_m = (2.31, 2.42, 2.28, 2.36)
    test = CoastOutRecord(
        0, car_id, at, "Club room floor", None, None, distances_m, 1.12, 0.03, 0.1,
        "Speed from two gates 100 mm apart.",
    )  # fmt: skip
    store.add_coast_out(session, test)


def _look(session: Session, car_id: int, at: datetime, seen: Mapping[str, RubAnswer]) -> None:
    answers = {**dict.fromkeys(NAMES, RubAnswer.FREE), **seen}
    note = "The left front wheel touches on full play." if seen else ""
    store.add_rub_check(session, RubCheckRecord(0, car_id, at, answers, note))
