"""A small hill and a car for tests of the coasting core; invented."""

from __future__ import annotations

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.track import Bend, SlopePoint, Track

CAR = Car(
    mass_g=37.0,
    wheelbase_mm=40.0,
    cg_ahead_of_rear_axle_mm=18.0,
    cg_height_mm=9.0,
    wheel_diameter_mm=10.0,
    axle_diameter_mm=1.0,
    nose_ahead_of_front_axle_mm=12.0,
    wheel_mass_g=0.7,
    drag_area_cm2=4.0,
    pitch_gyration_mm=15.0,
)
LOSSES = Losses(
    bearing_friction=0.22, rolling_resistance=0.008, steady_drag_mn=0.4, wall_friction=0.2
)
WINDING = Track(
    finish_at_m=9.0,
    slope_points=(
        SlopePoint(0.0, 22.0),
        SlopePoint(1.5, 22.0),
        SlopePoint(2.3, 6.0),
        SlopePoint(6.0, 3.0),
        SlopePoint(9.0, 1.0),
    ),
    bends=(
        Bend(2.5, 3.1, 80.0, 0.0),
        Bend(3.1, 3.8, -95.0, 12.0),
        Bend(5.0, 5.9, 60.0, 5.0),
    ),
    gates_at_m=(2.0, 3.1, 7.0),
)
