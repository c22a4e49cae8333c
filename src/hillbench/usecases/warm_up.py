"""Load and compile what the first run would otherwise wait for."""

from __future__ import annotations

import numpy as np

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.run import coast
from hillbench.coasting.track import SlopePoint, Track
from hillbench.timing.compare import compare
from hillbench.timing.run import TimedRun


def warm_up() -> None:
    """Compute a small run and compare two cars, so that what both need is in memory."""
    car = Car(
        mass_g=35.0,
        wheelbase_mm=40.0,
        cg_ahead_of_rear_axle_mm=20.0,
        cg_height_mm=9.0,
        wheel_diameter_mm=10.0,
        axle_diameter_mm=1.0,
    )
    coast(Track(finish_at_m=1.0, slope_points=(SlopePoint(0.0, 10.0),)), car, Losses())
    runs = [TimedRun(car, time_s) for car, time_s in (("A", 1.0), ("B", 1.1), ("A", 1.02))]
    compare(runs, np.random.default_rng(0))
