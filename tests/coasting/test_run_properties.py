"""What holds for every run, whatever the hill and the car."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.result import Run, Status
from hillbench.coasting.run import coast
from hillbench.coasting.track import Bend, Track
from tests.coasting.scenes import all_losses, cars, tracks

many = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
slowdowns = st.sampled_from(
    ["bearing_friction", "rolling_resistance", "steady_drag_mn", "wall_friction"]
)


def _finish_s(run: Run) -> float:
    assume(run.status is Status.FINISHED)
    assert run.finish_time_s is not None
    return run.finish_time_s


def _assume_a_steady_run(run: Run) -> None:
    """Leave out a car that all but stops: it takes any time, or stops after all."""
    assume(run.status is Status.FINISHED)
    assume(np.min(run.trace.speed_m_s[run.trace.at_m > 0.1]) > 0.1)


@many
@given(track=tracks(), car=cars(), losses=all_losses())
def test_energy_closes(track: Track, car: Car, losses: Losses) -> None:
    energy = coast(track, car, losses).energy
    spent = math.fsum([*energy.losses().values(), energy.finish_motion])
    # An uphill end gives a start energy near zero: the tolerance is of all that changed hands.
    assert spent == pytest.approx(energy.start, rel=1e-3, abs=1e-9)
    assert min(energy.losses().values()) >= 0.0


@many
@given(track=tracks(), car=cars(), losses=all_losses(), name=slowdowns, more=st.floats(0.001, 0.1))
def test_more_friction_is_never_faster(
    track: Track, car: Car, losses: Losses, name: str, more: float
) -> None:
    before = _finish_s(coast(track, car, losses))
    changed = {name: getattr(losses, name) + more}
    after = coast(track, car, dataclasses.replace(losses, **changed))
    if after.finish_time_s is not None:
        assert after.finish_time_s >= before - 1e-7


@many
@given(track=tracks(), car=cars(), losses=all_losses())
def test_twice_as_many_panels_give_the_same(track: Track, car: Car, losses: Losses) -> None:
    once = coast(track, car, losses)
    twice = coast(track, car, losses, panel_length_m=0.04)
    _assume_a_steady_run(once)
    assert twice.status is Status.FINISHED
    assert once.time_error_s is not None
    change = abs(_finish_s(twice) - _finish_s(once))
    assert change <= 1e-4
    assert change <= once.time_error_s + 1e-6


@many
@given(track=tracks(), car=cars(), losses=all_losses())
def test_mirrored_bends_give_the_same_time(track: Track, car: Car, losses: Losses) -> None:
    bends = tuple(
        Bend(bend.from_m, bend.to_m, -bend.turn_deg, bend.bank_deg) for bend in track.bends
    )
    here = coast(track, car, losses)
    there = coast(dataclasses.replace(track, bends=bends), car, losses)
    assert there.status is here.status
    if here.finish_time_s is not None:
        assert there.finish_time_s == pytest.approx(here.finish_time_s, rel=1e-12)
    np.testing.assert_allclose(
        there.trace.wall_force_mn, -here.trace.wall_force_mn, rtol=1e-9, atol=1e-9
    )


@many
@given(track=tracks(), car=cars(), factor=st.floats(0.5, 2.0))
def test_mass_cancels_where_every_loss_is_in_proportion_to_load(
    track: Track, car: Car, factor: float
) -> None:
    bare = dataclasses.replace(car, wheel_mass_g=0.0, drag_area_cm2=0.0)
    losses = Losses(bearing_friction=0.2, rolling_resistance=0.005, wall_friction=0.2)
    heavy = dataclasses.replace(bare, mass_g=bare.mass_g * factor)
    expected = _finish_s(coast(track, bare, losses))
    assert coast(track, heavy, losses).finish_time_s == pytest.approx(expected, rel=1e-9)


@many
@given(track=tracks(), car=cars(), losses=all_losses())
def test_the_trace_tells_the_run(track: Track, car: Car, losses: Losses) -> None:
    run = coast(track, car, losses)
    trace = run.trace
    assert np.all(np.diff(trace.time_s) > 0.0)
    assert np.all(np.diff(trace.at_m) > 0.0)
    assert trace.at_m[-1] == pytest.approx(
        track.finish_at_m if run.where_m is None else run.where_m
    )
    assert trace.speed_m_s[0] == 0.0
    if run.finish_time_s is not None and run.time_error_s is not None:
        assert abs(trace.time_s[-1] - run.finish_time_s) <= run.time_error_s + 1e-9
        assert run.gate_times_s[0] is not None
        assert 0.0 < run.gate_times_s[0] < run.finish_time_s
