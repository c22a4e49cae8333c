"""A rigid-body engine makes the runs; the fit must find the friction of its hinges."""

from __future__ import annotations

from dataclasses import replace
from importlib.util import find_spec

import numpy as np
import pytest

from hillbench.coasting.car import Car
from hillbench.coasting.track import SlopePoint, Track
from hillbench.fitting.evidence import Evidence, KnownCar
from hillbench.fitting.fit import fit
from hillbench.fitting.readings import TimedRun
from tests.outside.registry import Outside

AREA = "Fitting: runs made by a rigid-body engine"
SOURCE = "MuJoCo, dry friction in the hinges of four wheels, 400 planes, 0.2 ms"

pytestmark = pytest.mark.skipif(
    find_spec("mujoco") is None, reason="MuJoCo is not installed: pip install mujoco"
)

CAR = Car(37.0, 40.0, 20.0, 9.0, 10.0, 0.0, 0.0, 0.7, pitch_gyration_mm=15.0)
STEADY_MN = 3.0
ROLLING = 0.006
SCATTER_S = 0.002
RUNS = 4


def test_the_fit_recovers_hinge_friction(outside: Outside) -> None:
    """A torque τ in each hinge brakes like 4 τ/r_w, whatever the load.

    The wheels resist rolling as well, in proportion to load: three masses tell the two apart.
    """
    from tests.outside.rigid_body import Body, Hill, run

    hill = Hill(20.0, 1.2, 1.0, 4.0)
    gates = (hill.flat_from_m + 0.2, hill.flat_from_m + 1.0)
    rng = np.random.default_rng(11)
    runs = []
    for mass in (28.0, 37.0, 60.0):
        radius_m = CAR.wheel_diameter_mm / 2e3
        body = Body(
            mass * 1e-3, 0.040, 0.020, 0.009, radius_m, 0.7e-3, 0.5, 0.015,
            hinge_friction_nm=STEADY_MN * 1e-3 * radius_m / 4.0,
            rolling_friction_m=ROLLING * radius_m,
        )  # fmt: skip
        true = [time for time, _ in run(body, hill, (*gates, hill.finish_m))]
        stretches = np.diff(true, prepend=0.0)
        for _ in range(RUNS):
            noise = rng.standard_normal(3) * SCATTER_S * np.sqrt(stretches / true[-1])
            times = np.cumsum(stretches + noise).tolist()
            runs.append(TimedRun("A", times[-1], tuple(times[:-1]), mass_g=mass))
    slopes = (SlopePoint(hill.ramp_m, hill.slope_deg), SlopePoint(hill.flat_from_m, 0.0))
    track = Track(hill.finish_m, slopes, gates_at_m=gates)
    known = KnownCar("A", CAR, mass_uncertainty_g=0.01)
    evidence = Evidence(track, (known,), tuple(runs), timer_uncertainty_s=1e-4)
    fitted = fit(replace(evidence, air_density_kg_m3=0.0), rng)
    place = fitted.layout.places["steady_drag_mn", "A"]
    drawn = fitted.layout.values(fitted.draws)[:, place]
    low, high = np.quantile(drawn, [0.05, 0.95])
    outside.check(
        "steady drag of four hinges within its 90 % interval",
        source=SOURCE,
        how="run",
        expected=STEADY_MN,
        got=float(np.mean(drawn)),
        within=float(high - low) / 2.0,
        unit="mN",
    )
    assert float(high - low) < 1.0  # the readings tell it, not the prior
    assert low < STEADY_MN < high
