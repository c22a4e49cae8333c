"""Hills and random cars on which runs are compared with other solvers."""

from __future__ import annotations

import numpy as np

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.track import Bend, SlopePoint, Track

STRAIGHT = Track(
    6.0,
    (SlopePoint(0.0, 20.0), SlopePoint(2.0, 20.0), SlopePoint(3.0, 0.0)),
    gates_at_m=(3.2, 5.0),
)
"""Ramp, valley and flat."""

HUMPS = Track(
    8.0,
    (
        *(SlopePoint(0.3, 22.0), SlopePoint(1.2, 10.0), SlopePoint(1.8, 12.0)),
        *(SlopePoint(2.6, -1.0), SlopePoint(3.6, 6.0), SlopePoint(4.4, 1.0)),
        *(SlopePoint(5.4, 7.0), SlopePoint(6.6, 2.0), SlopePoint(8.0, 2.0)),
    ),
    bends=(Bend(4.6, 5.6, 60.0, 5.0), Bend(6.2, 7.4, -70.0)),
    gates_at_m=(2.0, 4.5, 7.0),
)
"""Waves in the slope, and two bends."""

WINDING = Track(
    18.2,
    (
        *(SlopePoint(0.0, 18.0), SlopePoint(0.8, 14.0), SlopePoint(2.0, 5.0)),
        *(SlopePoint(5.0, 6.0), SlopePoint(8.0, 4.5), SlopePoint(11.0, 6.5)),
        *(SlopePoint(14.0, 4.0), SlopePoint(16.5, 5.0), SlopePoint(18.2, 2.0)),
    ),
    bends=(
        *(Bend(2.4, 3.5, 90.0, 15.0), Bend(4.3, 5.2, -75.0), Bend(6.1, 7.6, 120.0, 20.0)),
        *(Bend(7.6, 8.7, -90.0, 10.0), Bend(9.6, 10.9, 110.0), Bend(11.8, 13.0, -100.0, 25.0)),
        *(Bend(13.8, 14.6, 60.0, -4.0), Bend(15.4, 16.9, -120.0, 12.0)),
    ),
    gates_at_m=(3.5, 9.0, 13.0),
)
"""Eight bends, most of them banked, over eighteen metres."""


SLOW_BANKS = Track(
    7.0,
    (SlopePoint(0.0, 8.0), SlopePoint(3.0, 3.0), SlopePoint(7.0, 4.0)),
    bends=(
        *(Bend(0.4, 0.9, -30.0, 8.0), Bend(1.2, 2.6, 80.0, 22.0), Bend(3.0, 4.6, -60.0, 30.0)),
        *(Bend(5.0, 6.4, 75.0, 28.0),),
    ),
    gates_at_m=(1.0, 4.0),
)
"""Banks in which a car leans first on the inner wall and then on the outer one."""


def random_cars(count: int, seed: int) -> tuple[list[Car], list[Losses]]:
    """Return cars and losses over the range that builders meet."""
    rng = np.random.default_rng(seed)
    cars, losses = [], []
    for _ in range(count):
        wheelbase = float(rng.uniform(28.0, 60.0))
        cars.append(
            Car(
                mass_g=float(rng.uniform(28.0, 70.0)),
                wheelbase_mm=wheelbase,
                cg_ahead_of_rear_axle_mm=wheelbase * float(rng.uniform(0.2, 0.8)),
                cg_height_mm=float(rng.uniform(5.0, 16.0)),
                wheel_diameter_mm=float(rng.uniform(8.0, 13.0)),
                axle_diameter_mm=float(rng.uniform(0.8, 1.4)),
                nose_ahead_of_front_axle_mm=float(rng.uniform(8.0, 20.0)),
                wheel_mass_g=float(rng.uniform(0.2, 1.2)),
                wheel_inertia_factor=float(rng.uniform(0.4, 0.8)),
                drag_area_cm2=float(rng.uniform(1.0, 6.0)),
                pitch_gyration_mm=float(rng.uniform(10.0, 22.0)),
            )
        )
        losses.append(
            Losses(
                bearing_friction=float(rng.uniform(0.05, 0.25)),
                rolling_resistance=float(rng.uniform(0.002, 0.010)),
                steady_drag_mn=float(rng.uniform(0.0, 1.0)),
                wall_friction=float(rng.uniform(0.02, 0.16)),
                bearing_load_exponent=float(rng.choice([0.0, 0.0, -1.0 / 3.0, -0.15])),
            )
        )
    return cars, losses
