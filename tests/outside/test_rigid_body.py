"""Ramp, valley and flat against a rigid body on four wheels in MuJoCo."""

from __future__ import annotations

from importlib.util import find_spec

import pytest

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.run import coast
from hillbench.coasting.surroundings import Surroundings
from hillbench.coasting.track import SlopePoint, Track
from tests.outside.ideal import finish
from tests.outside.registry import Outside

AREA = "Coasting: three-dimensional rigid body"
SOURCE = "MuJoCo, four wheels on hinges rolling in friction contact, 400 planes, 0.2 ms"

pytestmark = pytest.mark.skipif(
    find_spec("mujoco") is None, reason="MuJoCo is not installed: pip install mujoco"
)

CARS = {
    "CG in the middle": Car(37.0, 40.0, 20.0, 9.0, 10.0, 1.0, 0.0, 0.7, pitch_gyration_mm=15.0),
    "CG far back": Car(57.0, 45.0, 12.0, 12.0, 10.0, 1.0, 0.0, 0.7, pitch_gyration_mm=16.0),
    "CG far forward": Car(35.0, 30.0, 24.0, 6.0, 9.0, 1.0, 0.0, 1.0, 0.9, pitch_gyration_mm=14.0),
    "long": Car(50.0, 60.0, 30.0, 10.0, 12.0, 1.0, 0.0, 1.2, pitch_gyration_mm=20.0),
    "high CG": Car(42.0, 42.0, 18.0, 20.0, 10.0, 1.0, 0.0, 0.7, pitch_gyration_mm=16.0),
    "light and short": Car(30.0, 28.0, 10.0, 15.0, 10.0, 1.0, 0.0, 0.3, pitch_gyration_mm=13.0),
}


@pytest.mark.parametrize("name", CARS)
@pytest.mark.parametrize(("slope_deg", "radius_m"), [(20.0, 1.0), (28.0, 0.6)])
def test_a_rigid_body_takes_as_long(
    outside: Outside, name: str, slope_deg: float, radius_m: float
) -> None:
    from tests.outside.rigid_body import Body, Hill, run

    car = CARS[name]
    hill = Hill(slope_deg, 1.2, radius_m, 3.0)
    gate_m = hill.flat_from_m + 0.2
    body = Body(
        car.mass_g * 1e-3,
        car.wheelbase_mm * 1e-3,
        car.cg_ahead_of_rear_axle_mm * 1e-3,
        car.cg_height_mm * 1e-3,
        car.wheel_diameter_mm * 0.5e-3,
        car.wheel_mass_g * 1e-3,
        car.wheel_inertia_factor,
        car.pitch_gyration_mm * 1e-3,
    )
    (gate_s, _), (finish_s, finish_m_s) = run(body, hill, (gate_m, hill.finish_m))
    slopes = (SlopePoint(hill.ramp_m, slope_deg), SlopePoint(hill.flat_from_m, 0.0))
    track = Track(hill.finish_m, slopes, gates_at_m=(gate_m,))
    got = coast(track, car, Losses(), Surroundings(air_density_kg_m3=0.0))
    place = f"{name}, {slope_deg:g}° into a radius of {radius_m:g} m"
    outside.check(
        f"finish time, {place}",
        source=SOURCE,
        how="run",
        expected=finish_s,
        got=finish(got.finish_time_s),
        rel=5e-4,
        unit="s",
    )
    outside.check(
        f"time from gate to finish, {place}",
        source=SOURCE,
        how="run",
        expected=finish_s - gate_s,
        got=finish(got.finish_time_s) - finish(got.gate_times_s[0]),
        rel=1.5e-3,
        unit="s",
    )
    outside.check(
        f"finish speed, {place}",
        source=SOURCE,
        how="run",
        expected=finish_m_s,
        got=finish(got.finish_speed_m_s),
        rel=1.5e-3,
        unit="m/s",
    )
