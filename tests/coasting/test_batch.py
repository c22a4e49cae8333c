from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from hillbench.coasting.batch import coast_batch
from hillbench.coasting.car_batch import CarBatch
from hillbench.coasting.run import coast
from tests.coasting.hill import CAR, LOSSES, WINDING

VARIED = {
    "mass_g": 0.01,
    "wheelbase_mm": 0.01,
    "cg_ahead_of_rear_axle_mm": 0.01,
    "cg_height_mm": 0.01,
    "wheel_diameter_mm": 0.01,
    "axle_diameter_mm": 0.001,
    "nose_ahead_of_front_axle_mm": 0.01,
    "wheel_mass_g": 0.001,
    "wheel_inertia_factor": 0.001,
    "drag_area_cm2": 0.01,
    "pitch_gyration_mm": 0.1,
    "bearing_friction": 1e-3,
    "rolling_resistance": 1e-5,
    "steady_drag_mn": 1e-3,
    "wall_friction": 1e-3,
    "bearing_load_exponent": 1e-4,
}
"""A step for each field that a fit may move; wheel_count is whole."""


def test_a_batch_is_its_cars_one_by_one_in_order() -> None:
    cars = [
        dataclasses.replace(CAR, mass_g=30.0 + k, wheelbase_mm=38.0 + (k % 3), cg_height_mm=8.0)
        for k in range(70)
    ]
    losses = [dataclasses.replace(LOSSES, wall_friction=0.1 + 0.005 * k) for k in range(70)]
    together = coast_batch(WINDING, CarBatch.of(cars, losses))
    for index in (0, 1, 2, 35, 69):
        alone = coast(WINDING, cars[index], losses[index])
        assert together.finish_time_s[index] == pytest.approx(alone.finish_time_s, rel=1e-12)
        gates = together.gate_times_s[:, index].tolist()
        assert gates == pytest.approx(list(alone.gate_times_s), rel=1e-12)


def test_early_ends_stand_beside_finishes_in_one_batch() -> None:
    friction = np.array([0.22, 8.0, 2.0, 0.1])
    result = coast_batch(WINDING, CarBatch.repeat(CAR, LOSSES, 4, bearing_friction=friction))
    assert result.status.tolist() == [0, 1, 2, 0]
    assert np.isnan(result.finish_time_s).tolist() == [False, True, True, False]
    assert np.isnan(result.where_m).tolist() == [True, False, False, True]
    assert result.where_m[1] == 0.0
    assert 2.0 < result.where_m[2] < 9.0


def test_gates_before_the_end_of_a_stalled_run_keep_their_times() -> None:
    result = coast_batch(WINDING, CarBatch.repeat(CAR, LOSSES, 1, bearing_friction=2.0))
    reached = np.array(WINDING.gates_at_m) <= result.where_m[0]
    assert reached.any()
    assert np.isfinite(result.gate_times_s[:, 0]).tolist() == reached.tolist()


@pytest.mark.parametrize("name", VARIED)
def test_finite_differences_of_one_call_settle(name: str) -> None:
    """Central differences with a step and a tenth of it agree: the result is smooth."""
    base = float(getattr(CarBatch.of([CAR], [LOSSES]), name)[0])
    if name == "bearing_load_exponent":
        base = -0.1
    step = VARIED[name]
    moves = np.array([-1.0, 1.0, -0.1, 0.1]) * step
    times = coast_batch(
        WINDING, CarBatch.repeat(CAR, LOSSES, 4, **{name: base + moves})
    ).finish_time_s
    wide = (times[1] - times[0]) / (2.0 * step)
    narrow = (times[3] - times[2]) / (0.2 * step)
    assert wide != 0.0
    assert narrow == pytest.approx(wide, rel=0.01, abs=1e-7 / step)


def test_extrapolation_leaves_less_error_than_is_reported() -> None:
    """The march on panels eight times shorter stands in for the truth."""
    batch = CarBatch.of([CAR], [LOSSES])
    usual = coast_batch(WINDING, batch)
    finer = coast_batch(WINDING, batch, panel_length_m=0.01)
    assert abs(usual.finish_time_s[0] - finer.finish_time_s[0]) < usual.time_error_s[0]
    assert usual.time_error_s[0] < 1e-3


def test_an_empty_batch_gives_empty_results() -> None:
    assert len(coast_batch(WINDING, CarBatch.of([], [])).finish_time_s) == 0


def test_an_unknown_field_is_refused() -> None:
    with pytest.raises(KeyError, match="mas_g is no field"):
        CarBatch.repeat(CAR, LOSSES, 2, mas_g=1.0)
