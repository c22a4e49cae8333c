"""An invented bundle of runs and tests, as text."""

from __future__ import annotations

import dataclasses
import json
from dataclasses import replace
from typing import Any

import numpy as np

from hillbench.fitting.readings import RollTest, SpinTest
from tests.fitting.world import WINDING, Truth, evidence, make_runs

TRUTH = Truth()


def fit_bundle(count: int = 6, masses_g: tuple[float | None, ...] = (None, 47.0)) -> dict[str, Any]:
    """Return track, car, runs and tests as they stand in a file."""
    track = replace(WINDING, gates_at_m=(6.0, 12.0))
    runs = make_runs(track, TRUTH, count, np.random.default_rng(3), masses_g)
    given = evidence(
        track,
        TRUTH,
        runs,
        spin_downs=(SpinTest(TRUTH.name, 20.0, 1.78, state="dry"),),
        roll_tests=(RollTest(TRUTH.name, 2.0, 300.0),),
    )
    bundle: dict[str, Any] = json.loads(json.dumps(dataclasses.asdict(given)))
    return bundle


def advice_bundle(**more: Any) -> dict[str, Any]:
    """Return the same with a question about the car."""
    asked = {"advised_car": TRUTH.name, "state": "dry", "mass_limit_g": 57.0}
    return {**fit_bundle(), **asked, "target_time_s": 8.9, **more}
