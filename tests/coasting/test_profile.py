from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator

from hillbench.coasting.profile import Profile
from hillbench.coasting.track import Bend, HeightPoint, SlopePoint, Track
from tests.coasting.hill import WINDING

PLACES_M = np.array([-1.0, 0.0, 0.7, 1.5, 1.9, 2.3, 4.4, 9.0, 11.0])


def test_height_of_slope_points_is_the_integral_of_the_sine() -> None:
    """General-purpose quadrature (scipy.integrate.quad) as the second witness."""
    profile = Profile(WINDING)
    places = [point.at_m for point in WINDING.slope_points]
    slopes = np.radians([point.slope_deg for point in WINDING.slope_points])
    for at_m in PLACES_M:
        fall, _ = quad(
            lambda s: np.sin(np.interp(s, places, slopes)), at_m, 9.0, points=places, limit=200
        )
        assert profile.height_m(np.array([at_m]))[0] == pytest.approx(fall, abs=1e-9)


def test_heights_are_joined_by_the_monotone_cubic_of_scipy() -> None:
    points = ((0.0, 1.2), (0.8, 0.9), (2.0, 0.4), (3.5, 0.35), (5.0, 0.0))
    track = Track(5.0, height_points=tuple(HeightPoint(*point) for point in points))
    curve = PchipInterpolator(*np.transpose(points))
    inside = np.linspace(0.0, 5.0, 41)
    profile = Profile(track)
    assert profile.height_m(inside) == pytest.approx(curve(inside), abs=1e-12)
    assert np.sin(profile.slope_rad(inside)) == pytest.approx(-curve(inside, 1), abs=1e-12)


def test_track_goes_straight_on_beyond_both_ends() -> None:
    points = ((0.0, 1.0), (1.0, 0.6), (2.0, 0.5))
    track = Track(2.0, height_points=tuple(HeightPoint(*point) for point in points))
    profile = Profile(track)
    for end_m, way in ((0.0, -1.0), (2.0, 1.0)):
        beyond = end_m + way * np.array([0.0, 0.5, 1.0])
        heights = profile.height_m(beyond)
        assert heights[1] - heights[0] == pytest.approx(heights[2] - heights[1], abs=1e-12)
        assert profile.slope_rad(beyond) == pytest.approx(profile.slope_rad(beyond[:1])[0])


def test_bends_that_touch_hand_over_at_their_common_end() -> None:
    profile = Profile(WINDING)
    index = profile.bend_index(np.array([2.49, 2.5, 3.0999, 3.1, 3.8, 5.0, 5.9]))
    assert index.tolist() == [-1, 0, 0, 1, -1, 2, -1]


def test_turn_of_each_bend_is_its_curvature_times_its_length() -> None:
    profile = Profile(WINDING)
    places = np.linspace(2.0, 6.5, 45_001)
    turned = np.trapezoid(profile.lateral_curvature_1_m(places), places)
    assert np.degrees(turned) == pytest.approx(80.0 - 95.0 + 60.0, abs=0.05)


def test_bank_leans_into_the_bend_whichever_way_it_turns() -> None:
    track = Track(
        3.0,
        slope_points=(SlopePoint(0.0, 5.0),),
        bends=(Bend(0.5, 1.0, 40.0, 10.0), Bend(1.5, 2.0, -40.0, 10.0)),
    )
    roll = np.degrees(Profile(track).roll_rad(np.array([0.7, 1.2, 1.7])))
    assert roll == pytest.approx([10.0, 0.0, -10.0])
