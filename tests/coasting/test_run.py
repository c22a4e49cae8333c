from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from hillbench.coasting.losses import Losses
from hillbench.coasting.result import MarginKind, Status
from hillbench.coasting.run import coast
from hillbench.coasting.surroundings import Surroundings
from hillbench.coasting.track import SlopePoint, Track
from hillbench.errors import InvalidInput
from tests.coasting.hill import CAR, LOSSES, WINDING

CREST = Track(6.0, slope_points=(SlopePoint(0.0, 8.0), SlopePoint(2.0, 8.0), SlopePoint(2.3, 45.0)))


def test_trace_ends_at_the_finish_with_the_time_and_speed_of_the_run() -> None:
    run = coast(WINDING, CAR, LOSSES)
    assert run.finish_time_s is not None
    assert run.time_error_s is not None
    assert run.trace.at_m[-1] == WINDING.finish_at_m
    assert run.trace.height_m[-1] == pytest.approx(0.0, abs=1e-12)
    # The trace is the finer march, which is off by the error reported.
    assert run.trace.time_s[-1] == pytest.approx(run.finish_time_s, abs=1.01 * run.time_error_s)
    assert run.trace.speed_m_s[-1] == pytest.approx(run.finish_speed_m_s, rel=1e-3)


def test_an_uphill_start_does_not_start() -> None:
    track = Track(3.0, slope_points=(SlopePoint(0.0, -3.0), SlopePoint(1.0, 20.0)))
    run = coast(track, CAR, LOSSES)
    assert (run.status, run.where_m, run.finish_time_s) == (Status.DID_NOT_START, 0.0, None)
    assert run.energy.start == 0.0


def test_a_stalled_run_spends_all_its_energy_where_it_stops() -> None:
    """On a level run-out with Coulomb losses alone the car stops where height = loss × way."""
    track = Track(
        20.0, slope_points=(SlopePoint(0.0, 15.0), SlopePoint(1.0, 15.0), SlopePoint(1.3, 0.0))
    )
    car = dataclasses.replace(CAR, drag_area_cm2=0.0)
    run = coast(track, car, Losses(rolling_resistance=0.05))
    assert run.status is Status.STALLED
    assert run.energy.finish_motion == pytest.approx(0.0, abs=1e-9)
    assert run.energy.rolling == pytest.approx(run.energy.start, rel=1e-3)
    assert run.where_m == pytest.approx(run.trace.at_m[-1])
    assert np.all(np.diff(run.trace.time_s) > 0.0)


def test_lift_off_is_told_with_its_place_and_no_time() -> None:
    run = coast(CREST, CAR, Losses())
    assert run.status is Status.LIFTED_OFF
    assert run.finish_time_s is None
    assert run.where_m is not None
    assert 2.0 < run.where_m < 2.4


def test_a_gentle_crest_is_listed_with_its_limit() -> None:
    track = dataclasses.replace(
        CREST, slope_points=(*CREST.slope_points[:2], SlopePoint(4.0, 14.0))
    )
    run = coast(track, CAR, LOSSES)
    assert run.status is Status.FINISHED
    crest = [margin for margin in run.margins if margin.kind is MarginKind.LIFT_OFF]
    assert len(crest) == 1
    assert crest[0].speed_m_s < crest[0].limit_m_s


def test_each_bend_has_its_three_margins_in_order_along_the_track() -> None:
    run = coast(WINDING, CAR, LOSSES)
    places = [margin.at_m for margin in run.margins]
    assert places == sorted(places)
    kinds = [margin.kind for margin in run.margins if margin.kind is not MarginKind.LIFT_OFF]
    assert len(kinds) == 3 * len(WINDING.bends)


def test_an_unbanked_bend_always_leans_on_its_wall_and_a_banked_one_from_a_speed_on() -> None:
    run = coast(WINDING, CAR, LOSSES)
    walls = [margin for margin in run.margins if margin.kind is MarginKind.WALL]
    assert walls[0].limit_m_s == 0.0
    assert walls[1].limit_m_s > 0.5


def test_a_load_exponent_near_nought_changes_little() -> None:
    """The branch for load-dependent bearings meets the plain one in the limit."""
    plain = coast(WINDING, CAR, LOSSES).finish_time_s
    nearly = coast(WINDING, CAR, dataclasses.replace(LOSSES, bearing_load_exponent=-1e-9))
    assert nearly.finish_time_s == pytest.approx(plain, abs=1e-8)


def test_less_gravity_takes_longer() -> None:
    earth = coast(WINDING, CAR, LOSSES).finish_time_s
    mars = coast(WINDING, CAR, LOSSES, Surroundings(0.02, 3.71)).finish_time_s
    assert earth is not None
    assert mars is not None
    assert mars > earth


def test_every_problem_of_every_part_is_told_at_once() -> None:
    with pytest.raises(InvalidInput) as told:
        coast(
            dataclasses.replace(WINDING, finish_at_m=-1.0),
            dataclasses.replace(CAR, mass_g=3700.0),
            Losses(wall_friction=float("nan")),
            Surroundings(gravity_m_s2=float("inf")),
        )
    places = {problem.where for problem in told.value.problems}
    assert {
        "track.finish_at_m",
        "car.mass_g",
        "losses.wall_friction",
        "gravity_m_s2",
    } <= places
