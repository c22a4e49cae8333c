"""Invented hills and cars whose losses are known, and runs made with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from hillbench.coasting.batch import coast_batch
from hillbench.coasting.car import Car
from hillbench.coasting.car_batch import CarBatch
from hillbench.coasting.losses import Losses
from hillbench.coasting.result import Floats
from hillbench.coasting.track import Bend, SlopePoint, Track
from hillbench.fitting.evidence import Evidence, KnownCar
from hillbench.fitting.readings import TimedRun

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
    bearing_friction=0.18, rolling_resistance=0.009, steady_drag_mn=0.4, wall_friction=0.22
)
WINDING = Track(
    finish_at_m=18.0,
    slope_points=(
        SlopePoint(0.0, 18.0),
        SlopePoint(0.8, 18.0),
        SlopePoint(1.7, 6.2),
        SlopePoint(7.0, 5.4),
        SlopePoint(12.2, 6.0),
        SlopePoint(16.6, 4.8),
        SlopePoint(18.0, 2.5),
    ),
    bends=tuple(
        Bend(at, at + 0.9, turn)
        for at, turn in (
            (2.6, 90.0), (4.2, -90.0), (5.9, -70.0), (7.7, 90.0),
            (9.4, 110.0), (11.3, -90.0), (13.3, -100.0), (15.2, 80.0),
        )
    ),
)  # fmt: skip
SIX_GATES = (3.0, 6.0, 9.0, 12.0, 15.0, 16.5)


@dataclass(frozen=True)
class Truth:
    """A car as it really is, and how its times scatter."""

    name: str = "Mustard"
    car: Car = CAR
    losses: Losses = LOSSES
    state: str = "dry"
    scatter_s: float = 0.05
    bad_rate: float = 0.06
    delay_s: float = 0.3


def true_times(track: Track, truth: Truth, mass_g: float | None = None) -> Floats:
    """Return the true times at the gates and at the finish, s."""
    car = truth.car if mass_g is None else replace(truth.car, mass_g=mass_g)
    result = coast_batch(track, CarBatch.of([car], [truth.losses]))
    return np.append(result.gate_times_s[:, 0], result.finish_time_s[0])


def make_runs(
    track: Track,
    truth: Truth,
    count: int,
    rng: np.random.Generator,
    masses_g: Sequence[float | None] = (None,),
    gates: bool = True,
) -> tuple[TimedRun, ...]:
    """Return `count` runs at each mass: a random walk in time, now and then a delay."""
    runs = []
    for mass in masses_g:
        stretches = np.diff(true_times(track, truth, mass), prepend=0.0)
        whole = float(np.sum(stretches))
        for _ in range(count):
            shares = stretches / whole
            noise = truth.scatter_s * np.sqrt(shares) * rng.standard_normal(len(shares))
            bad = rng.random(len(shares)) < -np.expm1(shares * np.log1p(-truth.bad_rate))
            noise += bad * rng.exponential(truth.delay_s, len(shares))
            times = np.cumsum(stretches + noise).tolist()
            taken = tuple(times[:-1]) if gates else ()
            runs.append(TimedRun(truth.name, times[-1], taken, truth.state, mass))
    return tuple(runs)


def known(truth: Truth) -> KnownCar:
    """Return the car as its builder knows it."""
    return KnownCar(truth.name, truth.car)


def evidence(track: Track, truth: Truth, runs: Sequence[TimedRun], **more: Any) -> Evidence:
    """Return evidence of one car."""
    return replace(Evidence(track, (known(truth),), tuple(runs)), **more)
