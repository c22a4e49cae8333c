from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon, box

from hillbench.decals.cut_line import cut_line
from hillbench.decals.flatten import cubic_points, quadratic_points
from hillbench.decals.shapes import filled, grown

SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
INNER = ((2.0, 2.0), (2.0, 8.0), (8.0, 8.0), (8.0, 2.0))


def test_holes_by_direction_and_by_parity() -> None:
    """A ring the other way round is a hole (nonzero); the same way it is not, but by parity."""
    assert filled([SQUARE, INNER]).area == 100.0 - 36.0
    assert filled([SQUARE, INNER[::-1]]).area == 100.0
    assert filled([SQUARE, INNER[::-1]], even_odd=True).area == 64.0
    island = ((4.0, 4.0), (6.0, 4.0), (6.0, 6.0), (4.0, 6.0))
    assert filled([island, INNER, SQUARE]).area == 64.0 + 4.0


def test_crossing_rings_join_by_winding() -> None:
    bowtie = ((0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0))
    assert filled([bowtie]).area == pytest.approx(8.0)
    shifted = tuple((x + 5.0, y + 5.0) for x, y in SQUARE)
    assert filled([SQUARE, shifted]).area == pytest.approx(175.0)
    assert filled([SQUARE, shifted[::-1]]).area == pytest.approx(150.0)


def test_lines_stay_as_near_as_asked() -> None:
    """A quarter circle as one cubic (4/3·tan 22.5°) leaves the circle by 2.7e-4 of its radius."""
    reach = 4.0 / 3.0 * math.tan(math.pi / 8.0) * 10.0
    points = [(10.0, 0.0), *cubic_points((10, 0), (10, reach), (reach, 10), (0, 10), 0.01)]
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in itertools.pairwise(points)]
    assert max(abs(math.hypot(*middle) - 10.0) for middle in middles) < 0.01 + 2.8e-3
    assert len(points) < 40
    straight = list(quadratic_points((0, 0), (1, 1), (2, 2), 0.01))
    assert straight == [(2.0, 2.0)]


corner = st.tuples(st.floats(-8.0, 8.0), st.floats(-8.0, 8.0))


@settings(max_examples=40, deadline=None)
@given(
    corners=st.lists(corner, min_size=3, max_size=7),
    gap_mm=st.floats(0.1, 1.5),
    radius_mm=st.floats(0.0, 1.5),
)
def test_cut_line_is_one_round_piece_outside_the_print(
    corners: list[tuple[float, float]], gap_mm: float, radius_mm: float
) -> None:
    shape = Polygon(corners).buffer(0.2)
    line = cut_line(shape, gap_mm, radius_mm)
    assert line.gap_mm == max(gap_mm, radius_mm)
    assert line.shape.geom_type == "Polygon"
    assert not line.shape.interiors
    # A chord of the round corners lies inside the true arc by at most r(1 − cos(π/128)).
    slack = 2e-3 * (line.gap_mm + line.radius_mm)
    assert line.shape.buffer(1e-9).covers(grown(shape, line.gap_mm - slack))
    assert shape.distance(line.shape.exterior) >= line.gap_mm - slack
    # Where the line turns inward it has the radius: closing it again changes nothing.
    if radius_mm > 0.1:
        again = line.shape.buffer(radius_mm * 0.98).buffer(-radius_mm * 0.98)
        assert again.difference(line.shape).area < 0.02


def test_far_parts_are_joined_to_one_piece() -> None:
    apart = box(0, 0, 2, 2).union(box(9, 0, 11, 2))
    line = cut_line(apart, 0.5, 0.5)
    assert line.joined
    assert line.shape.geom_type == "Polygon"
    assert line.shape.covers(apart)
    assert line.shape.contains(Point(5.5, 1.0))
    assert not cut_line(box(0, 0, 2, 2), 0.5, 0.5).joined
