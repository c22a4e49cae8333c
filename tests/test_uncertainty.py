from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.uncertainty import repeated_reading, resolution_uncertainty

readings = st.lists(st.floats(1.0, 1000.0), min_size=1, max_size=30)


def test_one_reading_knows_its_resolution_only() -> None:
    estimate = repeated_reading([37.2], resolution=0.1)
    assert estimate.value == 37.2
    assert estimate.standard_uncertainty == pytest.approx(0.1 / math.sqrt(12.0))
    assert math.isinf(estimate.degrees_of_freedom)


def test_readings_that_agree_say_no_more_than_the_resolution() -> None:
    estimate = repeated_reading([37.2] * 5, resolution=0.1)
    assert estimate.standard_uncertainty == resolution_uncertainty(0.1)
    assert math.isinf(estimate.degrees_of_freedom)


@given(values=readings, resolution=st.floats(0.0, 1.0))
def test_mean_lies_among_the_readings_and_resolution_adds(
    values: list[float], resolution: float
) -> None:
    plain = repeated_reading(values)
    coarse = repeated_reading(values, resolution)
    assert min(values) * (1 - 1e-12) <= coarse.value <= max(values) * (1 + 1e-12)
    assert coarse.standard_uncertainty >= plain.standard_uncertainty
    assert coarse.standard_uncertainty >= resolution_uncertainty(resolution) * (1 - 1e-12)
    assert coarse.degrees_of_freedom >= len(values) - 1


@given(values=readings, factor=st.floats(0.01, 100.0))
def test_the_unit_does_not_matter(values: list[float], factor: float) -> None:
    here = repeated_reading(values, 0.1)
    there = repeated_reading([value * factor for value in values], 0.1 * factor)
    assert there.value == pytest.approx(here.value * factor, rel=1e-9)
    assert there.standard_uncertainty == pytest.approx(here.standard_uncertainty * factor, rel=1e-6)


@pytest.mark.parametrize("values", [[], [math.nan], [1.0, math.inf]])
def test_no_reading_or_no_number_is_refused(values: list[float]) -> None:
    with pytest.raises(ValueError, match="finite"):
        repeated_reading(values)


@pytest.mark.parametrize("resolution", [-0.1, math.nan, math.inf])
def test_a_resolution_is_zero_or_more(resolution: float) -> None:
    with pytest.raises(ValueError, match="resolution"):
        repeated_reading([1.0], resolution)
