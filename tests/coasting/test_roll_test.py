from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.coasting.roll_test import Roll, drift_after, read_roll
from hillbench.errors import InvalidInput
from hillbench.uncertainty import Estimate


def _roll(drift_mm: float, length_m: float = 2.0, aim_deg: float = 0.0) -> Roll:
    return Roll(Estimate(length_m, 0.005), Estimate(drift_mm, 2.0), Estimate(40.0, 0.2), aim_deg)


def test_a_straight_roll() -> None:
    steer = read_roll(_roll(0.0))
    assert steer.curvature_1_m.value == 0.0
    assert math.isinf(steer.radius_m)
    assert steer.drift_mm_per_m == 0.0
    assert steer.curvature_1_m.standard_uncertainty == pytest.approx(2.0 * 2e-3 / 4.0)


@given(drift_mm=st.floats(0.01, 1999.0))
def test_left_and_right_are_mirrored(drift_mm: float) -> None:
    left, right = read_roll(_roll(drift_mm)), read_roll(_roll(-drift_mm))
    assert left.curvature_1_m.value == -right.curvature_1_m.value > 0.0
    assert left.steer_angle_deg.value == -right.steer_angle_deg.value
    assert left.radius_m == right.radius_m


def test_aiming_adds_to_the_uncertainty() -> None:
    """An aim off by u turns the whole path: the drift over D is off by D u."""
    sure = read_roll(_roll(0.0)).curvature_1_m.standard_uncertainty
    unsure = read_roll(_roll(0.0, aim_deg=0.5)).curvature_1_m.standard_uncertainty
    assert unsure**2 - sure**2 == pytest.approx((2.0 * math.radians(0.5) / 2.0) ** 2)


@given(curvature=st.floats(-1.0, 1.0), length_m=st.floats(0.01, 1.5))
def test_drift_along_the_path(curvature: float, length_m: float) -> None:
    got = drift_after(curvature, length_m)
    # Simpson's rule on dy/ds = sin(κ s) is good to 1e-3 of the whole here.
    simpson = (
        length_m
        / 6.0
        * (4.0 * math.sin(curvature * length_m / 2.0) + math.sin(curvature * length_m))
    )
    assert got == pytest.approx(simpson, rel=5e-3, abs=1e-15)


@pytest.mark.parametrize(
    ("roll", "where"),
    [
        (_roll(1.0, length_m=0.0), "length_m"),
        (_roll(1.0, length_m=math.nan), "length_m"),
        (_roll(2001.0), "drift_mm"),
        (_roll(math.nan), "drift_mm"),
        (_roll(1.0, aim_deg=-1.0), "aim_uncertainty_deg"),
        (_roll(1.0, aim_deg=math.nan), "aim_uncertainty_deg"),
        (Roll(Estimate(1.0, 0.0), Estimate(1.0, 0.0), Estimate(-4.0, 0.0)), "wheelbase_mm"),
        (Roll(Estimate(1.0, 0.0), Estimate(1.0, -1.0), Estimate(40.0, 0.0)), "drift_mm"),
    ],
)
def test_what_cannot_be_is_refused(roll: Roll, where: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        read_roll(roll)
    assert f"roll_test.{where}" in [problem.where for problem in caught.value.problems]
