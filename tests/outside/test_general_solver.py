"""Runs of random cars against SciPy's DOP853 on an independent statement of the physics."""

from __future__ import annotations

import numpy as np
import pytest

from hillbench.coasting.batch import coast_batch
from hillbench.coasting.car_batch import CarBatch
from hillbench.coasting.track import Track
from tests.outside.hills import HUMPS, SLOW_BANKS, STRAIGHT, WINDING, random_cars
from tests.outside.reference_run import integrate
from tests.outside.registry import Outside

AREA = "Coasting: a general solver"
SOURCE = "SciPy solve_ivp DOP853, rtol 1e-10, max_step 0.01 m"
CARS = 16


@pytest.mark.parametrize(
    ("name", "track"),
    [
        ("ramp, valley, flat", STRAIGHT),
        ("humps and two bends", HUMPS),
        ("eight bends", WINDING),
        ("slow banks", SLOW_BANKS),
    ],
)
def test_random_cars(outside: Outside, name: str, track: Track) -> None:
    cars, losses = random_cars(CARS, 64)
    expected = integrate(track, cars, losses)
    got = coast_batch(track, CarBatch.of(cars, losses))
    assert np.all(got.status == 0)
    times = np.vstack([got.gate_times_s, got.finish_time_s])
    outside.check(
        f"largest difference of {CARS} cars at gates and finish, {name}",
        source=SOURCE,
        how="run",
        expected=0.0,
        got=float(np.max(np.abs(times - expected.times_s))),
        within=1e-5,  # asked is 1e-4
        unit="s",
    )
    outside.check(
        f"largest difference of {CARS} cars in finish speed, {name}",
        source=SOURCE,
        how="run",
        expected=0.0,
        got=float(np.max(np.abs(got.finish_speed_m_s / expected.finish_speed_m_s - 1.0))),
        within=1e-4,
        unit="of the speed",
    )
    true_error = np.abs(got.finish_time_s - expected.times_s[-1])
    outside.check(
        f"cars with more error than estimated, {name}",
        source=SOURCE,
        how="run",
        expected=0.0,
        got=float(np.sum(true_error > got.time_error_s + 1e-7)),
        within=0.0,
        unit="cars",
    )
