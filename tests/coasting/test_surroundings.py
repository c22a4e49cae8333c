from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.coasting.surroundings import (
    Surroundings,
    air_density,
    check_surroundings,
    gravity_at_latitude,
)


def test_what_is_assumed_has_no_problem() -> None:
    assert check_surroundings(Surroundings()) == ()


@pytest.mark.parametrize("value", [-0.1, 99.0, math.nan, math.inf])
def test_air_and_gravity_out_of_range(value: float) -> None:
    problems = check_surroundings(Surroundings(air_density_kg_m3=value, gravity_m_s2=value))
    assert [problem.where for problem in problems] == ["air_density_kg_m3", "gravity_m_s2"]


def test_no_air_is_allowed() -> None:
    assert check_surroundings(Surroundings(air_density_kg_m3=0.0)) == ()


@given(north_deg=st.floats(0.0, 89.0), height_m=st.floats(0.0, 4000.0))
def test_gravity_grows_towards_the_pole_and_falls_with_height(
    north_deg: float, height_m: float
) -> None:
    here = gravity_at_latitude(north_deg, height_m)
    assert gravity_at_latitude(north_deg + 1.0, height_m) > here
    assert gravity_at_latitude(north_deg, height_m + 10.0) < here


@given(celsius=st.floats(0.0, 40.0), hpa=st.floats(700.0, 1090.0), percent=st.floats(0.0, 90.0))
def test_warm_moist_and_thin_air_is_lighter(celsius: float, hpa: float, percent: float) -> None:
    here = air_density(celsius, hpa, percent)
    assert air_density(celsius + 1.0, hpa, percent) < here
    assert air_density(celsius, hpa - 5.0, percent) < here
    assert air_density(celsius, hpa, percent + 5.0) < here
