"""Describe a car as the hill sees it: what was measured, and typical values for the rest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from sqlalchemy.orm import Session

from hillbench.coasting.car import Car
from hillbench.records import car_store, reading_store, weighing_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import CarRecord
from hillbench.uncertainty import Estimate

TYPICAL_MASS_G: Final = 37.0
TYPICAL_CG_SHARE: Final = 0.45
"""CG ahead of the rear axle over the wheelbase; common practice, no source."""

TYPICAL: Final[Mapping[str, float]] = {
    "wheelbase_mm": 42.0,
    "cg_height_mm": 9.0,
    "nose_ahead_of_front_axle_mm": 13.0,
    "wheel_diameter_mm": 10.5,
    "axle_diameter_mm": 1.0,
    "wheel_mass_g": 0.6,
    "wheel_inertia_factor": 0.5,
    "wheel_count": 4.0,
    "drag_area_cm2": 4.0,
    "track_width_mm": 27.0,
    "bearing_friction": 0.22,
    "steady_drag_mn": 0.3,
    "bearing_load_exponent": 0.0,
}
"""What a 1:64 car is taken to be where nothing was read.

Lengths and masses: common practice, no source. Drag area: a bluff body of drag coefficient
0.7 and 6 cm² of front (B. R. Munson et al., "Fundamentals of Fluid Mechanics", fig. 9.20,
gives 0.5 to 1.1 for such shapes). Bearing friction: inside the 0.1 to 0.35 that handbooks give
for steel on plastics and metals, dry or with graphite; they differ by a factor of two.
"""


class Source(StrEnum):
    """Where a quantity comes from."""

    MEASURED = "measured"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True)
class CarDescription:
    """A car ready to be run, and how much of it is known.

    Attributes
    ----------
    record
        The car in the bench book.
    car
        As the hill sees it.
    mass
        Mass with its standard uncertainty, g; None where it was never weighed.
    bearing_friction, steady_drag_mn, bearing_load_exponent
        The losses that go with the car, not with the track.
    sources
        For each quantity, mass included, whether it was measured or assumed.
    """

    record: CarRecord
    car: Car
    mass: Estimate | None
    bearing_friction: float
    steady_drag_mn: float
    bearing_load_exponent: float
    sources: Mapping[str, Source]

    def assumed(self) -> tuple[str, ...]:
        """Return the quantities nobody measured, in order."""
        return tuple(name for name, source in self.sources.items() if source is Source.ASSUMED)


def describe_car(book: BenchBook, car_id: int) -> CarDescription:
    """Return a car as the hill sees it.

    Raises
    ------
    NotFound
        If there is no such car.
    """
    with book.read() as session:
        return describe_in(session, car_id)


def describe_in(session: Session, car_id: int) -> CarDescription:
    """Return a car as the hill sees it, read in a session that is open already."""
    record = car_store.find_car(session, car_id)
    weighing = weighing_store.latest_weighing(session, car_id)
    readings = reading_store.current_readings(session, car_id)
    measured = {name: reading.value for name, reading in readings.items()}
    mass = weighing.estimate() if weighing is not None else None
    if mass is not None:
        measured["mass_g"] = mass.value
    return describe_readings(record, measured, mass)


def describe_readings(
    record: CarRecord, measured: Mapping[str, float], mass: Estimate | None
) -> CarDescription:
    """Return a car from what was measured of it, by quantity, with typical values for the rest."""
    values = {"mass_g": TYPICAL_MASS_G, **TYPICAL, **measured}
    wheelbase = values["wheelbase_mm"]
    values.setdefault("cg_ahead_of_rear_axle_mm", round(TYPICAL_CG_SHARE * wheelbase, 1))
    names = ("mass_g", "wheelbase_mm", "cg_ahead_of_rear_axle_mm", *tuple(TYPICAL)[1:])
    sources = {name: Source.MEASURED if name in measured else Source.ASSUMED for name in names}
    losses = ("bearing_friction", "steady_drag_mn", "bearing_load_exponent")
    shape = {name: values[name] for name in names if name not in losses}
    wheel_count = round(shape.pop("wheel_count"))
    return CarDescription(
        record=record,
        car=Car(**shape, wheel_count=wheel_count),
        mass=mass,
        bearing_friction=values["bearing_friction"],
        steady_drag_mn=values["steady_drag_mn"],
        bearing_load_exponent=values["bearing_load_exponent"],
        sources=sources,
    )
