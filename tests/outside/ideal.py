"""Ideal cars and hills for closed forms: a point that slides or rolls."""

from __future__ import annotations

import math

from hillbench.coasting.car import Car
from hillbench.coasting.track import SlopePoint, Track

WHEELBASE_MM = 0.001
"""So short that the car is a point: a micrometre."""

KINK_M = 2e-8
"""Length over which the slope of an ideal hill changes where the closed form has a kink."""


def point_car(mass_g: float = 40.0, drag_area_cm2: float = 0.0) -> Car:
    """Return a car without size or wheels."""
    return Car(
        mass_g=mass_g,
        wheelbase_mm=WHEELBASE_MM,
        cg_ahead_of_rear_axle_mm=WHEELBASE_MM,
        cg_height_mm=0.0,
        wheel_diameter_mm=10.0,
        axle_diameter_mm=1.0,
        drag_area_cm2=drag_area_cm2,
    )


def rolling_body(inertia_factor: float) -> Car:
    """Return a body that is one wheel: a disk, a sphere, a hoop."""
    return Car(
        mass_g=40.0,
        wheelbase_mm=WHEELBASE_MM,
        cg_ahead_of_rear_axle_mm=WHEELBASE_MM,
        cg_height_mm=0.0,
        wheel_diameter_mm=10.0,
        axle_diameter_mm=1.0,
        wheel_mass_g=40.0,
        wheel_inertia_factor=inertia_factor,
        wheel_count=1,
    )


def incline(slope_deg: float, length_m: float) -> Track:
    """Return a straight hill of one slope."""
    return Track(length_m, (SlopePoint(0.0, slope_deg),))


def ramp_and_flat(
    slope_deg: float, ramp_m: float, finish_m: float, gates_m: tuple[float, ...] = ()
) -> Track:
    """Return a ramp that meets a flat in a kink; distances along the track."""
    slopes = (SlopePoint(ramp_m - KINK_M, slope_deg), SlopePoint(ramp_m, 0.0))
    return Track(finish_m, slopes, gates_at_m=gates_m)


def finish(value: float | None) -> float:
    """Return a finish time or speed, and fail where the run did not finish."""
    assert value is not None, "the run did not finish"
    return value


def slope_sine(slope_deg: float) -> float:
    """Return the sine of a slope in degrees."""
    return math.sin(math.radians(slope_deg))
