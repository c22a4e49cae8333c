from __future__ import annotations

import pytest

from hillbench.ballast.centre_of_gravity import cg_ahead_of_rear_axle, cg_height
from hillbench.errors import InvalidInput
from hillbench.uncertainty import Estimate

EXACT = Estimate(57.0, 0.0)
BASE = Estimate(43.0, 0.0)


@pytest.mark.parametrize(("rear_g", "expected"), [(57.0, 0.0), (0.0, 43.0), (28.5, 21.5)])
def test_all_on_one_axle_or_half_on_each(rear_g: float, expected: float) -> None:
    found = cg_ahead_of_rear_axle(Estimate(rear_g, 0.0), EXACT, BASE)
    assert found.value == pytest.approx(expected)


def test_more_on_an_axle_than_there_is_cannot_be() -> None:
    with pytest.raises(InvalidInput, match="rear_g is 60 g"):
        cg_ahead_of_rear_axle(Estimate(60.0, 0.0), EXACT, BASE)


@pytest.mark.parametrize("raised_mm", [0.0, 43.0, 50.0])
def test_a_tilt_that_is_none_or_too_steep_cannot_be(raised_mm: float) -> None:
    rear = Estimate(30.0, 0.0)
    with pytest.raises(InvalidInput, match="raised_mm"):
        cg_height(rear, rear, EXACT, BASE, Estimate(raised_mm, 0.0), 5.0)
