from __future__ import annotations

import math

import numpy as np
import pytest

from hillbench.coasting.panels import lay_panels
from hillbench.coasting.profile import Profile
from hillbench.coasting.track import SlopePoint, Track
from tests.coasting.hill import WINDING

WHEELBASE_M, NOSE_M = 0.040, 0.012


def test_every_feature_is_an_edge_for_each_axle_and_so_is_every_gate() -> None:
    panels = lay_panels(WINDING, WHEELBASE_M, NOSE_M)
    features = [point.at_m for point in WINDING.slope_points if point.at_m > 0.0]
    features += [end for bend in WINDING.bends for end in (bend.from_m, bend.to_m)]
    wanted = [place + NOSE_M for place in features]
    wanted += [place + NOSE_M + WHEELBASE_M for place in features]
    wanted = [place for place in wanted if place < WINDING.finish_at_m]
    for place in [*wanted, *WINDING.gates_at_m]:
        assert np.min(np.abs(panels.edges_m - place)) < 1e-12
    gates = panels.edges_m[panels.gate_panels + 1]
    assert gates == pytest.approx(WINDING.gates_at_m, abs=1e-12)


def test_panels_add_up_to_the_whole_fall_and_the_whole_turn() -> None:
    panels = lay_panels(WINDING, WHEELBASE_M, NOSE_M)
    heights = Profile(WINDING).height_m(np.array([-NOSE_M, 9.0 - NOSE_M]))
    assert panels.table[:, 1].sum() == pytest.approx(heights[1] - heights[0], abs=1e-12)
    # Vertical curvature turns the slope by 22 - 1 degrees, less what the axle has not reached.
    turned = np.dot(panels.table[:, 5], panels.table[:, 0])
    assert turned == pytest.approx(math.radians(21.0 - 2.0 / 3.0 * NOSE_M), abs=1e-9)


def test_divide_cuts_each_panel_and_keeps_its_edges() -> None:
    coarse = lay_panels(WINDING, WHEELBASE_M, NOSE_M)
    fine = lay_panels(WINDING, WHEELBASE_M, NOSE_M, divide=2)
    assert len(fine.table) == 2 * len(coarse.table)
    assert fine.edges_m[::2] == pytest.approx(coarse.edges_m, abs=1e-12)


def test_panels_are_short_where_the_car_is_slow() -> None:
    lengths = np.diff(lay_panels(WINDING, WHEELBASE_M, NOSE_M).edges_m)
    assert lengths[0] < 0.1 * lengths.max()
    assert lengths.max() <= 0.08 + 1e-12


def test_ten_thousand_slope_points_are_cut_too() -> None:
    points = tuple(SlopePoint(0.002 * k, 10.0 + math.sin(0.01 * k)) for k in range(10_000))
    panels = lay_panels(Track(20.0, slope_points=points), WHEELBASE_M, NOSE_M)
    assert np.all(np.diff(panels.edges_m) > 0.0)
    assert panels.edges_m[-1] == 20.0
