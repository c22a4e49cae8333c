"""A car as the hill sees it: masses, lengths and wheels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from hillbench.errors import InvalidInput, Problem


@dataclass(frozen=True, slots=True)
class Car:
    """A car ready to run.

    Attributes
    ----------
    mass_g
        All of it, wheels included, g.
    wheelbase_mm
        Distance between the axles, mm.
    cg_ahead_of_rear_axle_mm
        Centre of gravity ahead of the rear axle, mm, 0 to the wheelbase.
    cg_height_mm
        Centre of gravity above the track, mm.
    nose_ahead_of_front_axle_mm
        What trips the timer, ahead of the front axle, mm.
    wheel_diameter_mm, axle_diameter_mm
        Wheel at the tread and axle in its bearing, mm.
    wheel_mass_g
        One wheel with its share of a turning axle, g.
    wheel_inertia_factor
        Moment of inertia of a wheel over its mass times radius squared: 1/2 disk, 1 hoop.
    wheel_count
        Number of wheels that turn.
    drag_area_cm2
        Drag coefficient times frontal area, cm².
    track_width_mm
        Between the outer edges of the treads, mm; used for tipping only.
    pitch_gyration_mm
        Radius of gyration in pitch, mm; negligible on most tracks.

    Notes
    -----
    The constructor checks nothing; `check_car` lists what is wrong.
    """

    mass_g: float
    wheelbase_mm: float
    cg_ahead_of_rear_axle_mm: float
    cg_height_mm: float
    wheel_diameter_mm: float
    axle_diameter_mm: float
    nose_ahead_of_front_axle_mm: float = 0.0
    wheel_mass_g: float = 0.0
    wheel_inertia_factor: float = 0.5
    wheel_count: int = 4
    drag_area_cm2: float = 0.0
    track_width_mm: float = 24.0
    pitch_gyration_mm: float = 0.0


CAR_RANGES: dict[str, tuple[float, float, str]] = {
    "mass_g": (1.0, 1000.0, "g"),
    "wheelbase_mm": (0.001, 500.0, "mm"),
    "cg_height_mm": (0.0, 200.0, "mm"),
    "nose_ahead_of_front_axle_mm": (-500.0, 500.0, "mm"),
    "wheel_diameter_mm": (0.5, 500.0, "mm"),
    "axle_diameter_mm": (0.0, 500.0, "mm"),
    "wheel_mass_g": (0.0, 1000.0, "g"),
    "wheel_inertia_factor": (0.0, 1.0, ""),
    "wheel_count": (0, 20, ""),
    "drag_area_cm2": (0.0, 500.0, "cm2"),
    "track_width_mm": (0.5, 500.0, "mm"),
    "pitch_gyration_mm": (0.0, 500.0, "mm"),
}
"""Least and most of each quantity, with its unit; wide enough for ideal cases."""


def check_car(car: Car) -> tuple[Problem, ...]:
    """Return every problem that keeps the car from being run; empty when there is none."""
    return (*_check_ranges(car), *_check_fit(car))


def require_car(car: Car) -> Car:
    """Return the car unchanged, or raise `InvalidInput` with every problem it has."""
    problems = check_car(car)
    if problems:
        raise InvalidInput(problems)
    return car


def _check_ranges(car: Car) -> Iterator[Problem]:
    for name, (least, most, unit) in CAR_RANGES.items():
        value = getattr(car, name)
        if not least <= value <= most:
            remedy = "check the decimal point and the unit" if value > most else ""
            yield Problem(
                f"car.{name}",
                f"{value:g} {unit}".rstrip(),
                f"between {least:g} and {most:g} {unit}".rstrip(),
                remedy,
            )


def _check_fit(car: Car) -> Iterator[Problem]:
    if not 0.0 <= car.cg_ahead_of_rear_axle_mm <= car.wheelbase_mm:
        yield Problem(
            "car.cg_ahead_of_rear_axle_mm",
            f"{car.cg_ahead_of_rear_axle_mm:g} mm",
            f"between 0 and the wheelbase ({car.wheelbase_mm:g} mm)",
            "with the CG outside its axles the car stands on its nose or tail",
        )
    if not car.axle_diameter_mm < car.wheel_diameter_mm:
        yield Problem(
            "car.axle_diameter_mm",
            f"{car.axle_diameter_mm:g} mm",
            f"less than the wheel ({car.wheel_diameter_mm:g} mm)",
        )
    if not car.wheel_count * car.wheel_mass_g <= car.mass_g:
        yield Problem(
            "car.wheel_mass_g",
            f"{car.wheel_mass_g:g} g for each of {car.wheel_count} wheels",
            f"together at most the car's mass ({car.mass_g:g} g)",
            "weigh one wheel, or the car with its wheels on",
        )
