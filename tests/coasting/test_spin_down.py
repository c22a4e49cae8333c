from __future__ import annotations

import dataclasses
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.coasting.spin_down import SpinDown, read_spin_down, viscous_ratio
from hillbench.errors import InvalidInput
from hillbench.uncertainty import Estimate


def _spin(turns: float | None = None, **changed: float) -> SpinDown:
    values = {
        "wheel_inertia_factor": 0.5,
        "wheel_diameter_mm": 10.0,
        "axle_diameter_mm": 1.0,
        "start_turns_per_s": 20.0,
        "stop_time_s": 3.0,
    } | changed
    counted = None if turns is None else Estimate(turns, 0.0)
    return SpinDown(**{name: Estimate(value, 0.0) for name, value in values.items()}, turns=counted)


def test_a_reading_without_uncertainty_has_no_contributions() -> None:
    reading = read_spin_down(_spin())
    assert reading.bearing_friction.standard_uncertainty == 0.0
    assert reading.contributions == {}
    assert reading.viscous_share == 0.0


def test_half_the_turns_of_an_even_spin_is_dry_friction() -> None:
    counted = read_spin_down(_spin(turns=30.0))
    assert counted.bearing_friction.value == pytest.approx(
        read_spin_down(_spin()).bearing_friction.value
    )
    assert counted.viscous_rate_1_s.value == 0.0


def test_a_few_turns_too_many_are_read_as_dry() -> None:
    assert read_spin_down(_spin(turns=31.0)).viscous_share == 0.0


@given(ratio=st.floats(1e-5, 1e6))
def test_the_ratio_is_found_again_from_the_share_of_turns(ratio: float) -> None:
    share = 1.0 / math.log1p(ratio) - 1.0 / ratio
    assert viscous_ratio(share) == pytest.approx(ratio, rel=1e-4)


@given(turns=st.floats(5.0, 35.0), grow=st.floats(1.01, 2.0))
def test_a_longer_spin_is_a_freer_bearing(turns: float, grow: float) -> None:
    here = read_spin_down(_spin(turns=turns))
    longer = read_spin_down(_spin(turns=turns * grow, stop_time_s=3.0 * grow))
    assert longer.bearing_friction.value < here.bearing_friction.value
    assert 0.0 <= here.viscous_share < 1.0


def test_the_inertia_factor_dominates() -> None:
    readings = {
        "wheel_inertia_factor": Estimate(0.5, 0.05),
        "wheel_diameter_mm": Estimate(10.0, 0.05),
        "axle_diameter_mm": Estimate(1.0, 0.03),
        "start_turns_per_s": Estimate(20.0, 0.6),
        "stop_time_s": Estimate(3.0, 0.06),
    }
    reading = read_spin_down(SpinDown(**readings))
    friction = reading.bearing_friction
    assert friction.standard_uncertainty / friction.value == pytest.approx(0.11, abs=0.005)
    assert reading.contributions["wheel_inertia_factor"] > 0.7
    assert math.fsum(reading.contributions.values()) == pytest.approx(1.0)


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
@pytest.mark.parametrize("name", [field.name for field in dataclasses.fields(SpinDown)])
def test_each_reading_is_positive(name: str, value: float) -> None:
    with pytest.raises(InvalidInput) as caught:
        read_spin_down(_spin(**{"turns": 30.0, name: value}))
    assert f"spin_down.{name}" in [problem.where for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("changed", "where"),
    [
        ({"axle_diameter_mm": 10.0}, "axle_diameter_mm"),
        ({"wheel_inertia_factor": 1.2}, "wheel_inertia_factor"),
        ({"turns": 40.0}, "turns"),
        ({"turns": 2.0}, "turns"),
    ],
)
def test_what_cannot_be_is_refused(changed: dict[str, float], where: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        read_spin_down(_spin(**changed))
    assert [problem.where for problem in caught.value.problems] == [f"spin_down.{where}"]


def test_an_uncertainty_as_large_as_the_value_is_refused() -> None:
    spin = dataclasses.replace(_spin(), stop_time_s=Estimate(3.0, 3.0))
    with pytest.raises(InvalidInput, match="measure it better"):
        read_spin_down(spin)


@pytest.mark.parametrize("share", [0.05, 0.0, -1.0, math.nan])
def test_no_wheel_coasts_like_that(share: float) -> None:
    with pytest.raises(ValueError, match="turns share"):
        viscous_ratio(share)
