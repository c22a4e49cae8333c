"""Runs that end before the finish, and a hill of very many points."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from hillbench.coasting.losses import Losses
from hillbench.coasting.result import Status
from hillbench.coasting.run import coast
from hillbench.coasting.surroundings import Surroundings
from hillbench.coasting.track import SlopePoint, Track
from tests.coasting.hill import CAR, LOSSES, WINDING

NO_AIR = Surroundings(air_density_kg_m3=0.0)


@pytest.mark.parametrize(
    "losses", [Losses(rolling_resistance=0.5), Losses(steady_drag_mn=200.0)], ids=["load", "steady"]
)
def test_losses_larger_than_the_slope_hold_the_car(losses: Losses) -> None:
    run = coast(WINDING, CAR, losses)
    assert (run.status, run.where_m) == (Status.DID_NOT_START, 0.0)


def test_a_level_start_does_not_start() -> None:
    run = coast(Track(3.0, (SlopePoint(0.0, 0.0),)), CAR, Losses())
    assert (run.status, run.where_m) == (Status.DID_NOT_START, 0.0)


def test_a_car_stalls_where_it_has_climbed_as_high_as_it_fell() -> None:
    """A point on 1 m of 10° down, a valley, and 10° up comes to rest as far up."""
    point = dataclasses.replace(
        CAR,
        wheelbase_mm=0.001,
        cg_ahead_of_rear_axle_mm=0.001,
        cg_height_mm=0.0,
        nose_ahead_of_front_axle_mm=0.0,
        wheel_mass_g=0.0,
    )
    valley = Track(5.0, (SlopePoint(1.0, 10.0), SlopePoint(2.0, -10.0)), gates_at_m=(1.5, 2.5, 4.0))
    run = coast(valley, point, Losses(), NO_AIR)
    assert run.status is Status.STALLED
    assert run.where_m == pytest.approx(3.0, abs=1e-5)
    assert [gate is None for gate in run.gate_times_s] == [False, False, True]
    assert run.energy.finish_motion == 0.0


def test_ten_thousand_slope_points_run_as_the_two_they_lie_between() -> None:
    places = np.linspace(0.0, 10.0, 10_000).tolist()
    points = tuple(SlopePoint(place, 10.0 - place / 2.0) for place in places)
    fine = coast(Track(9.0, points), CAR, LOSSES)
    coarse = coast(Track(9.0, (SlopePoint(0.0, 10.0), SlopePoint(10.0, 5.0))), CAR, LOSSES)
    assert fine.finish_time_s == pytest.approx(coarse.finish_time_s, abs=1e-5)


def test_a_kink_between_slopes_is_no_jump() -> None:
    """However short the valley, the car goes through it, in about the time of a wider one."""
    times = []
    for length_m in (1e-2, 1e-3, 1e-4, 1e-5):
        slopes = (SlopePoint(2.0, 20.0), SlopePoint(2.0 + length_m, 0.0))
        run = coast(Track(6.0, slopes), CAR, LOSSES)
        assert run.finish_time_s is not None, length_m
        times.append(run.finish_time_s)
    assert times == pytest.approx([times[0]] * 4, rel=0.01)
    assert times[-1] == pytest.approx(times[-2], abs=1e-4)
