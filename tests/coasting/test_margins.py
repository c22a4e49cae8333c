from __future__ import annotations

import math

import pytest

from hillbench.coasting.margins import lift_off_speed, tipping_speed


def test_a_bank_steep_enough_holds_the_car_at_any_speed() -> None:
    """The turning moment vanishes at tan β = h / t, by the geometry of the wheels."""
    steep = math.atan2(0.009, 0.012)
    assert math.isinf(tipping_speed(0.3, 0.012, 0.009, 9.8, steep + 1e-6))
    assert math.isfinite(tipping_speed(0.3, 0.012, 0.009, 9.8, steep - 1e-6))


def test_a_point_on_the_track_lifts_off_at_the_textbook_speed() -> None:
    """With h = 0: v² = g R, the top of a vertical circle, in any mechanics text."""
    assert lift_off_speed(2.0, 0.0, 9.8) == pytest.approx(math.sqrt(9.8 * 2.0), rel=1e-15)
