from __future__ import annotations

import math

import pytest

from hillbench.coasting.losses import LOSS_RANGES, Losses, check_losses, require_losses
from hillbench.errors import InvalidInput


def test_no_losses_are_allowed_and_come_back_unchanged() -> None:
    none = Losses()
    assert require_losses(none) is none


@pytest.mark.parametrize("exponent", [-1.0 / 3.0, -0.333333333, 0.0])
def test_a_third_typed_in_decimals_is_a_third(exponent: float) -> None:
    assert check_losses(Losses(bearing_load_exponent=exponent)) == ()


@pytest.mark.parametrize("name", LOSS_RANGES)
def test_each_loss_is_held_to_its_range(name: str) -> None:
    least, most, _ = LOSS_RANGES[name]
    for value in (least - 0.1, most + 0.1, math.nan, math.inf, -math.inf):
        (problem,) = check_losses(Losses(**{name: value}))
        assert problem.where == f"losses.{name}"


def test_every_problem_is_told_at_once() -> None:
    with pytest.raises(InvalidInput) as caught:
        require_losses(Losses(bearing_friction=-0.1, wall_friction=9.0))
    assert len(caught.value.problems) == 2
