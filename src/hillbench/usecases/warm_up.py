"""Load and compile what the first run would otherwise wait for."""

from __future__ import annotations

from typing import Final

import numpy as np

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.run import coast
from hillbench.coasting.track import SlopePoint, Track
from hillbench.racing.heat_time import HeatTime
from hillbench.racing.rebuild import rebuild
from hillbench.racing.schedule import draw_schedule
from hillbench.racing.timed_result import rank_by_time
from hillbench.timing.compare import compare
from hillbench.timing.run import TimedRun

_SEARCHED: Final = (9, 4), (20, 5)
"""Cars and lanes whose heats need the search for rest, and that for equal meetings."""


def warm_up() -> None:
    """Compute a small run, compare two cars and draw, redraw and rank heats.

    What these need is in memory then.
    """
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
    _warm_up_meets()


def _warm_up_meets() -> None:
    rng = np.random.default_rng(0)
    for (cars, lanes), equally in zip(_SEARCHED, (False, True), strict=True):
        heats = draw_schedule(cars, lanes, 1, rng=rng, meet_equally=equally).heats
    rebuild(heats[:2], range(1, cars), lanes, 1, rng=rng)
    told = [
        HeatTime(number, lane, car, 10.0 + 0.01 * car + 0.001 * lane)
        for number, heat in enumerate(heats, start=1)
        for lane, car in enumerate(heat, start=1)
    ]
    rank_by_time(told, rng=rng)
