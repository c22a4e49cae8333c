"""Speed in a valley: what the height of the CG, the body's pitch and the wheels take up."""

from __future__ import annotations

import math

import pytest

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.run import coast
from hillbench.coasting.surroundings import Surroundings
from hillbench.coasting.track import SlopePoint, Track
from tests.outside.ideal import WHEELBASE_MM, finish
from tests.outside.registry import Outside

AREA = "Coasting: curved hills, inertia"


@pytest.mark.parametrize("cg_height_mm", [0.0, 25.0])
@pytest.mark.parametrize("pitch_gyration_mm", [0.0, 150.0])
@pytest.mark.parametrize("wheel_mass_g", [0.0, 2.0])
def test_speed_in_a_valley(
    outside: Outside, cg_height_mm: float, pitch_gyration_mm: float, wheel_mass_g: float
) -> None:
    """Kinetic energy of a rigid body in a valley of radius R, with wheels that roll.

    ½ m ((1 − h/R) v)² + ½ m ρ² (v/R)² + ½ (Σ I/r²) v² is the height the CG has lost.
    """
    radius_m, slope = 0.8, math.radians(40.0)
    arc_m = radius_m * slope
    car = Car(
        mass_g=40.0,
        wheelbase_mm=WHEELBASE_MM,
        cg_ahead_of_rear_axle_mm=WHEELBASE_MM,
        cg_height_mm=cg_height_mm,
        wheel_diameter_mm=10.0,
        axle_diameter_mm=1.0,
        wheel_mass_g=wheel_mass_g,
        pitch_gyration_mm=pitch_gyration_mm,
    )
    valley = Track(1.0 + arc_m / 2.0, (SlopePoint(1.0, 40.0), SlopePoint(1.0 + arc_m, 0.0)))
    run = coast(valley, car, Losses(), Surroundings(air_density_kg_m3=0.0))
    height_m = cg_height_mm / 1e3
    arm_m = radius_m - height_m
    fallen_m = math.sin(slope) + arm_m * (math.cos(slope / 2.0) - math.cos(slope))
    share = (arm_m / radius_m) ** 2 + (pitch_gyration_mm / 1e3 / radius_m) ** 2
    share += 4 * 0.5 * wheel_mass_g / 40.0
    outside.check(
        f"speed in a valley, CG {cg_height_mm:g} mm, gyration {pitch_gyration_mm:g} mm, "
        f"wheels {wheel_mass_g:g} g",
        source="kinetic energy of a rigid body (König), energy conservation",
        how="closed form",
        expected=math.sqrt(2.0 * 9.80665 * fallen_m / share),
        got=finish(run.finish_speed_m_s),
        rel=1e-6,
        unit="m/s",
    )
