from __future__ import annotations

import math

import pytest

from hillbench.coasting.track import (
    Bend,
    HeightPoint,
    SlopePoint,
    Track,
    check_track,
    require_track,
)
from hillbench.errors import InvalidInput

HILL = (SlopePoint(0.0, 20.0), SlopePoint(2.0, 20.0), SlopePoint(3.0, 0.0))
NOT_NUMBERS = [math.nan, math.inf, -math.inf]


def _only_problem(track: Track) -> str:
    (problem,) = check_track(track)
    assert "\n" not in problem.sentence()
    assert problem.seen in problem.sentence()
    return problem.where


def test_a_track_without_problems_comes_back_unchanged() -> None:
    track = Track(6.0, HILL, bends=(Bend(4.0, 4.8, 90.0, 10.0),), gates_at_m=(3.0, 6.0))
    assert require_track(track) is track


def test_an_uphill_start_is_a_track() -> None:
    assert check_track(Track(3.0, (SlopePoint(0.0, -5.0), SlopePoint(1.0, 10.0)))) == ()


def test_points_may_lie_behind_the_start_line() -> None:
    assert check_track(Track(3.0, (SlopePoint(-0.5, 30.0), SlopePoint(1.0, 10.0)))) == ()


def test_ten_thousand_points_are_a_track_and_too_many_are_not() -> None:
    many = tuple(SlopePoint(place / 1000.0, 10.0) for place in range(10_000))
    assert check_track(Track(9.0, many)) == ()
    too_many = tuple(SlopePoint(place / 1000.0, 10.0) for place in range(20_001))
    assert _only_problem(Track(9.0, too_many)) == "track.slope_points"


@pytest.mark.parametrize("finish_at_m", [0.0, -1.0, 1001.0, *NOT_NUMBERS])
def test_finish(finish_at_m: float) -> None:
    assert _only_problem(Track(finish_at_m, HILL)) == "track.finish_at_m"


def test_a_hill_is_given_in_one_way() -> None:
    heights = (HeightPoint(0.0, 1.0), HeightPoint(2.0, 0.0))
    assert _only_problem(Track(2.0)) == "track.slope_points"
    assert _only_problem(Track(2.0, HILL, heights)) == "track.slope_points"


@pytest.mark.parametrize("slope_deg", [90.1, -91.0, *NOT_NUMBERS])
def test_slope(slope_deg: float) -> None:
    track = Track(3.0, (SlopePoint(0.0, slope_deg),))
    assert _only_problem(track) == "track.slope_points[0].slope_deg"


@pytest.mark.parametrize("second_m", [1.0, 0.5, 2000.0, *NOT_NUMBERS])
def test_points_stand_in_order(second_m: float) -> None:
    track = Track(3.0, (SlopePoint(1.0, 5.0), SlopePoint(second_m, 5.0)))
    assert _only_problem(track) == "track.slope_points[1].at_m"


def test_a_track_cannot_fall_by_more_than_its_length() -> None:
    steep = Track(2.0, height_points=(HeightPoint(0.0, 2.0), HeightPoint(1.0, 0.5)))
    assert _only_problem(steep) == "track.height_points[1].height_m"


@pytest.mark.parametrize("height_m", NOT_NUMBERS)
def test_height(height_m: float) -> None:
    track = Track(2.0, height_points=(HeightPoint(0.0, 2.0), HeightPoint(1.0, height_m)))
    assert _only_problem(track) == "track.height_points[1].height_m"


def test_one_height_is_no_hill() -> None:
    track = Track(2.0, height_points=(HeightPoint(0.0, 2.0),))
    assert _only_problem(track) == "track.height_points"


@pytest.mark.parametrize(
    ("bend", "field"),
    [
        (Bend(4.0, 4.0, 360.0), "to_m"),
        (Bend(4.0, 3.0, 90.0), "to_m"),
        (Bend(4.0, math.inf, 90.0), "to_m"),
        (Bend(math.nan, 5.0, 90.0), "to_m"),
        (Bend(4.0, 5.0, 4000.0), "turn_deg"),
        (Bend(4.0, 5.0, math.nan), "turn_deg"),
        (Bend(4.0, 5.0, 90.0, 81.0), "bank_deg"),
        (Bend(4.0, 5.0, 90.0, math.inf), "bank_deg"),
    ],
)
def test_bend(bend: Bend, field: str) -> None:
    assert _only_problem(Track(6.0, HILL, bends=(bend,))) == f"track.bends[0].{field}"


def test_bends_may_touch_but_not_overlap_in_any_order() -> None:
    first, second = Bend(2.0, 3.0, 90.0), Bend(3.0, 4.0, -90.0)
    assert check_track(Track(6.0, HILL, bends=(second, first))) == ()
    longer = Bend(2.0, 3.1, 90.0)
    assert _only_problem(Track(6.0, HILL, bends=(second, longer))) == "track.bends[0].from_m"


def test_a_bend_within_another_overlaps_even_past_a_third() -> None:
    bends = (Bend(0.0, 5.0, 90.0), Bend(1.0, 2.0, 90.0), Bend(3.0, 4.0, 90.0))
    assert len(check_track(Track(6.0, HILL, bends=bends))) == 2


@pytest.mark.parametrize("gate_m", [0.0, -1.0, 6.1, *NOT_NUMBERS])
def test_gate(gate_m: float) -> None:
    assert _only_problem(Track(6.0, HILL, gates_at_m=(gate_m,))) == "track.gates_at_m[0]"


def test_every_problem_is_told_at_once() -> None:
    with pytest.raises(InvalidInput) as caught:
        require_track(Track(-1.0, (SlopePoint(0.0, 99.0),), bends=(Bend(1.0, 1.0, 9.0),)))
    assert len(caught.value.problems) == 3


def test_curvature_and_bank_of_a_bend() -> None:
    left = Bend(0.0, math.pi / 2.0, 90.0, 10.0)
    right = Bend(0.0, math.pi / 2.0, -90.0, 10.0)
    assert left.curvature_1_m == pytest.approx(1.0)
    assert right.curvature_1_m == pytest.approx(-1.0)
    assert left.roll_rad == pytest.approx(math.radians(10.0))
    assert right.roll_rad == pytest.approx(-math.radians(10.0))
