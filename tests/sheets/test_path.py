from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from svgelements import Matrix

from hillbench.sheets import path
from hillbench.sheets.path import Curve, Transform

PLACES = st.tuples(st.floats(-100, 100), st.floats(-100, 100))
PARTS = st.tuples(*[st.floats(-3, 3)] * 6)


def along(start: path.Point, curve: Curve, share: float) -> path.Point:
    """Return a place on a cubic curve, by its definition."""
    points = (start, curve.first, curve.second, curve.to)
    weights = [math.comb(3, k) * share**k * (1 - share) ** (3 - k) for k in range(4)]
    x, y = (sum(w * p[axis] for w, p in zip(weights, points, strict=True)) for axis in (0, 1))
    return x, y


@given(st.floats(0.1, 500.0), st.floats(-6.0, 6.0), st.floats(-6.2, 6.2), PLACES)
def test_arcs_keep_their_radius(
    radius_mm: float, start_rad: float, turn_rad: float, centre: path.Point
) -> None:
    drawn = path.Pen().arc(centre, radius_mm, start_rad, start_rad + turn_rad).path
    place = drawn[0].to  # type: ignore[union-attr]
    for segment in drawn[1:]:
        assert isinstance(segment, Curve)
        for step in range(5):
            x, y = along(place, segment, step / 4)
            far = math.hypot(x - centre[0], y - centre[1])
            assert far == pytest.approx(radius_mm, rel=5e-6, abs=1e-9 * abs(centre[0]) + 1e-9)
        place = segment.to
    end = start_rad + turn_rad
    assert place == pytest.approx(
        (centre[0] + radius_mm * math.cos(end), centre[1] + radius_mm * math.sin(end)), abs=1e-9
    )


@given(PARTS, PARTS, PLACES)
def test_maps_follow_each_other_as_in_svg(
    first: tuple[float, ...], second: tuple[float, ...], place: path.Point
) -> None:
    chained = Transform(*first).then(Transform(*second)).apply(place)
    theirs = (Matrix(*first) * Matrix(*second)).point_in_matrix_space(place)
    assert chained == pytest.approx((theirs.x, theirs.y), abs=1e-6)


def test_a_turn_is_clockwise_on_paper() -> None:
    assert Transform.turn(90.0).apply((1.0, 0.0)) == pytest.approx((0.0, 1.0))


def test_round_corners_are_never_rounder_than_the_box() -> None:
    pill = path.rectangle(10, 10, 30, 10, 99.0)
    assert path.bounds_mm(pill) == pytest.approx((10, 10, 40, 20), abs=1e-3)
    assert path.rectangle(0, 0, 5, 5) == path.polyline(
        [(0, 0), (5, 0), (5, 5), (0, 5)], closed=True
    )


def test_no_places_make_no_path() -> None:
    assert path.polyline([], closed=True) == ()
