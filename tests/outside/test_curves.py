"""Curved hills: cycloid, any profile, a dome and a crest."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.margins import lift_off_speed
from hillbench.coasting.result import MarginKind, Status
from hillbench.coasting.run import coast
from hillbench.coasting.surroundings import Surroundings
from hillbench.coasting.track import HeightPoint, SlopePoint, Track
from tests.outside.ideal import WHEELBASE_MM, finish, incline, point_car
from tests.outside.registry import Outside

AREA = "Coasting: curved hills"
VACUUM = Surroundings(air_density_kg_m3=0.0, gravity_m_s2=9.81)
CYCLOID_POINTS = 6000


def _cycloid(radius_m: float, start_rad: float) -> Track:
    """Return a cycloid from where its slope is `start_rad` to its bottom.

    Arc length from the bottom is 4 R sin γ. The slope points are even in γ, so the slope in
    between, linear in arc length, is off by no more than 1e-8 rad but at a vertical start.
    """
    slopes = np.linspace(start_rad, 0.0, CYCLOID_POINTS)
    places = 4.0 * radius_m * (math.sin(start_rad) - np.sin(slopes))
    points = _slope_points(places, slopes)
    return Track(float(places[-1]), points)


def _slope_points(
    places: NDArray[np.float64], slopes: NDArray[np.float64]
) -> tuple[SlopePoint, ...]:
    return tuple(
        SlopePoint(place, math.degrees(slope))
        for place, slope in zip(places.tolist(), slopes.tolist(), strict=True)
    )


@pytest.mark.parametrize("start_deg", [5.0, 20.0, 45.0, 70.0])
def test_tautochrone(outside: Outside, start_deg: float) -> None:
    radius_m = 0.8
    run = coast(_cycloid(radius_m, math.radians(start_deg)), point_car(), Losses(), VACUUM)
    outside.check(
        f"time to the bottom of a cycloid from a slope of {start_deg:g}°",
        source="Huygens 1673: π √(R/g) from anywhere",
        how="closed form",
        expected=math.pi * math.sqrt(radius_m / 9.81),
        got=finish(run.finish_time_s),
        rel=1e-6,
        unit="s",
    )


def test_brachistochrone(outside: Outside) -> None:
    radius_m = 100.0 / math.pi
    run = coast(_cycloid(radius_m, math.pi / 2.0), point_car(), Losses(), VACUUM)
    outside.check(
        "cycloid 100 m across, from its cusp",
        source="userz.net worked example, T = 5.659 s",
        how="run",
        expected=5.659009626,
        got=finish(run.finish_time_s),
        within=5e-6,
        unit="s",
    )
    length = math.hypot(100.0, 2.0 * radius_m)
    straight = coast(
        incline(math.degrees(math.atan2(2.0 * radius_m, 100.0)), length),
        point_car(),
        Losses(),
        VACUUM,
    )
    outside.check(
        "straight line to the same point",
        source="userz.net worked example, ratio √(π² + 4)/π",
        how="run",
        expected=6.708456329,
        got=finish(straight.finish_time_s),
        within=1e-8,
        unit="s",
    )


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_energy_on_any_profile(outside: Outside, seed: int) -> None:
    """Without losses the speed depends on the drop alone, whatever lies in between."""
    rng = np.random.default_rng(seed)
    places = np.linspace(0.0, 6.0, 13)
    drops = np.concatenate([[0.15, 0.15], rng.uniform(-0.01, 0.06, 9), [0.02]])
    heights = 2.0 - np.concatenate([[0.0], np.cumsum(drops)])
    points = tuple(
        HeightPoint(place, height)
        for place, height in zip(places.tolist(), heights.tolist(), strict=True)
    )
    car = Car(35.0, WHEELBASE_MM, WHEELBASE_MM, 0.0, 10.0, 1.0, 0.0, 0.7, 0.5)
    run = coast(Track(6.0, height_points=points), car, Losses(), VACUUM)
    fallen = heights[0] - heights[-1]
    outside.check(
        f"speed after a random hill, number {seed}",
        source="energy conservation, v = √(2 g H m/(m + Σ I/r²))",
        how="closed form",
        expected=math.sqrt(2.0 * 9.81 * fallen * 35.0 / (35.0 + 1.4)),
        got=finish(run.finish_speed_m_s),
        rel=1e-6,
        unit="m/s",
    )


def test_energy_of_a_long_car(outside: Outside) -> None:
    """From a ramp to a flat the CG falls as the point of the ramp over which it stands does.

    At rest on the ramp the CG is h cos γ above its foot, on the flat h: the car gives up
    the drop less h (1 − cos γ), with the foot at the distance of the CG behind the nose.
    """
    hill = Track(6.0, (SlopePoint(2.0, 25.0), SlopePoint(3.0, 0.0)))
    car = Car(37.0, 44.0, 15.0, 12.0, 10.0, 1.0, nose_ahead_of_front_axle_mm=20.0)
    run = coast(hill, car, Losses(), VACUUM)
    slope = math.radians(25.0)
    foot_m = -0.020 - 0.044 + 0.015
    drop_m = (2.0 - foot_m) * math.sin(slope) + (1.0 - math.cos(slope)) / slope
    fallen_m = drop_m - 0.012 * (1.0 - math.cos(slope))
    outside.check(
        "speed of a long, high car from ramp to flat",
        source="energy conservation, v = √(2 g H)",
        how="closed form",
        expected=math.sqrt(2.0 * 9.81 * fallen_m),
        got=finish(run.finish_speed_m_s),
        rel=1e-9,
        unit="m/s",
    )


@pytest.mark.parametrize(("start_deg", "cg_height_mm"), [(5.0, 0.0), (10.0, 0.0), (10.0, 30.0)])
def test_dome(outside: Outside, start_deg: float, cg_height_mm: float) -> None:
    """A point let go on a dome leaves it where cos φ = 2/3 cos φ₀, whatever its radius."""
    radius_m = 1.5
    finish_m = radius_m * math.radians(85.0 - start_deg)
    dome = Track(finish_m, (SlopePoint(0.0, start_deg), SlopePoint(finish_m, 85.0)))
    car = Car(40.0, WHEELBASE_MM, WHEELBASE_MM, cg_height_mm, 10.0, 1.0)
    run = coast(dome, car, Losses(), VACUUM, 0.004)
    assert run.status is Status.LIFTED_OFF
    left_deg = start_deg + math.degrees(finish(run.where_m) / radius_m)
    outside.check(
        f"slope where a dome is left, started at {start_deg:g}°, CG {cg_height_mm:g} mm high",
        source="textbook dome problem: cos φ = 2/3 cos φ₀",
        how="closed form",
        expected=math.degrees(math.acos(2.0 / 3.0 * math.cos(math.radians(start_deg)))),
        got=left_deg,
        within=0.05,
        unit="°",
    )


def test_lift_off_at_a_crest(outside: Outside) -> None:
    """The drop that just lifts the car at the end of a crest, found by halving, and the speed.

    On the crest the CG moves on R + h: it leaves at √(g (R + h) cos φ), the wheels at R/(R + h)
    of that.
    """
    radius_m, height_m, end_rad, slope_rad = 0.7, 0.02, math.radians(8.0), math.radians(30.0)

    def lifts(drop_m: float) -> bool:
        valley_m = 0.4 * slope_rad
        ramp_m = (drop_m - 0.4 * (1.0 - math.cos(slope_rad))) / math.sin(slope_rad)
        flat_m = ramp_m + valley_m + 0.1
        crest_m = flat_m + radius_m * end_rad
        slopes = (
            SlopePoint(ramp_m, math.degrees(slope_rad)),
            SlopePoint(ramp_m + valley_m, 0.0),
            SlopePoint(flat_m, 0.0),
            SlopePoint(crest_m, math.degrees(end_rad)),
        )
        car = Car(40.0, WHEELBASE_MM, WHEELBASE_MM, height_m * 1e3, 10.0, 1.0)
        run = coast(Track(crest_m + 0.2, slopes), car, Losses(), VACUUM, 0.002)
        return run.status is Status.LIFTED_OFF

    low, high = 0.1, 1.0
    assert lifts(high)
    assert not lifts(low)
    for _ in range(24):
        middle = (low + high) / 2.0
        low, high = (low, middle) if lifts(middle) else (middle, high)
    arm = radius_m + height_m
    # At rest the CG is h (1 − cos) lower over the ramp than over the flat.
    wanted = arm * (3.0 * math.cos(end_rad) - 2.0) / 2.0
    wanted += height_m * (1.0 - math.cos(slope_rad))
    outside.check(
        "drop that lifts a car at the end of a crest",
        source="energy and circular motion: H = (R + h)(3 cos φ − 2)/2 before the crest",
        how="closed form",
        expected=wanted,
        got=(low + high) / 2.0,
        rel=1e-3,
        unit="m",
    )


def test_margin_of_a_crest(outside: Outside) -> None:
    radius_m, height_m = 2.0, 0.015
    half_m = radius_m * math.radians(0.5)
    slopes = (
        SlopePoint(1.0, 10.0),
        SlopePoint(1.5, -0.5),
        SlopePoint(2.0, -0.5),
        SlopePoint(2.0 + 2.0 * half_m, 0.5),
    )
    car = Car(40.0, WHEELBASE_MM, WHEELBASE_MM, height_m * 1e3, 10.0, 1.0)
    run = coast(Track(3.0, slopes), car, Losses(), VACUUM)
    (margin,) = [one for one in run.margins if one.kind is MarginKind.LIFT_OFF]
    outside.check(
        "lift-off limit of a shallow crest in a run",
        source="circular motion of the CG: wheels at R √(g/(R + h))",
        how="closed form",
        expected=radius_m * math.sqrt(9.81 / (radius_m + height_m)),
        got=margin.limit_m_s,
        rel=1e-4,
        unit="m/s",
    )
    outside.check(
        "lift-off speed of the wheels",
        source="circular motion of the CG: √(g (R + h)) R/(R + h)",
        how="closed form",
        expected=math.sqrt(9.81 * (radius_m + height_m)) * radius_m / (radius_m + height_m),
        got=lift_off_speed(radius_m, height_m, 9.81),
        rel=1e-12,
        unit="m/s",
    )
