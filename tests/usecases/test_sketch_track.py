from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.coasting.track import check_track
from hillbench.errors import InvalidInput
from hillbench.pictures.ground import lay_ground
from hillbench.usecases.sketch_track import Hill, Winding, sketch_track


@given(
    st.floats(0.5, 200.0),
    st.floats(0.005, 0.15),
    st.sampled_from(Hill),
    st.sampled_from(Winding),
)
def test_track_has_the_length_and_drop_asked_for(
    length_m: float, grade: float, hill: Hill, winding: Winding
) -> None:
    track = sketch_track(length_m, grade * length_m, hill, winding)
    assert track.finish_at_m == length_m
    assert check_track(track) == ()
    heights = lay_ground(track, 900, 0.0, 100.0).heights_m
    # Points are rounded to a thousandth of a degree and of a metre.
    assert heights[0] - heights[-1] == pytest.approx(grade * length_m, rel=1e-3, abs=2e-3)


def test_even_slope_is_the_angle_of_the_right_triangle() -> None:
    track = sketch_track(10.0, 5.0, Hill.EVEN, Winding.STRAIGHT)
    expected = math.degrees(math.asin(0.5))  # 30°, drop over length along the slope
    assert [point.slope_deg for point in track.slope_points] == pytest.approx(
        2 * [expected], abs=1e-3
    )


def test_bends_turn_each_way_in_turn() -> None:
    track = sketch_track(18.0, 1.5, Hill.STEEP_START, Winding.WINDING)
    assert [bend.turn_deg for bend in track.bends] == [90.0, -90.0] * 4


@pytest.mark.parametrize("length_m", [0.0, -1.0, 0.4, 201.0, math.nan, math.inf])
def test_length_out_of_range_is_told(length_m: float) -> None:
    with pytest.raises(InvalidInput, match=r"length_m is .*; allowed is between 0\.5 and 200 m"):
        sketch_track(length_m, 1.0, Hill.EVEN, Winding.STRAIGHT)


@pytest.mark.parametrize("drop_m", [0.0, -1.0, 9.9, 12.0, math.nan, math.inf])
def test_drop_out_of_range_is_told(drop_m: float) -> None:
    with pytest.raises(InvalidInput, match=r"drop_m is .*; allowed is more than 0 and at most"):
        sketch_track(10.0, drop_m, Hill.EVEN, Winding.STRAIGHT)
