from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.pictures import scale


def test_figures_keep_a_true_minus_and_no_negative_nothing() -> None:
    assert scale.figure(-1.25, 1) == "−1.2"
    assert scale.figure(-0.001, 2) == "0.00"
    assert scale.short_figure(0.123456) == "0.123"
    assert scale.short_figure(12345.6) == "12346"
    assert scale.share_figure(0.004) == "under 1\u00a0%"
    assert scale.share_figure(0.0) == "0\u00a0%"


@given(st.floats(-1e4, 1e4), st.floats(1e-3, 1e4), st.integers(2, 12))
def test_ticks_are_few_round_and_inside(low: float, extent: float, most: int) -> None:
    ticks = scale.nice_ticks(low, low + extent, most)
    assert len(ticks) <= most + 1
    step = scale.nice_step(extent, most)
    mantissa = step / 10.0 ** math.floor(math.log10(step) + 1e-9)
    assert min(abs(mantissa - round_one) for round_one in (1, 2, 5, 10)) < 1e-6
    for tick in ticks:
        assert low - step * 1e-5 <= tick <= low + extent + step * 1e-5


@given(st.floats(-100, 100), st.floats(0.1, 100), st.floats(0, 900))
def test_scale_maps_its_ends_to_its_ends(low: float, extent: float, place: float) -> None:
    ruler = scale.Scale(low, low + extent, place, place + 300.0)
    assert ruler(low) == pytest.approx(place)
    assert ruler(low + extent) == pytest.approx(place + 300.0)
