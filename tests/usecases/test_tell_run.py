from __future__ import annotations

import dataclasses

import pytest

from hillbench.coasting.result import EnergyBudget
from hillbench.usecases.tell_run import tell_main_loss

BUDGET = EnergyBudget(300.0, 0.0, 0.0, 0.0, 0.0, 0.0, 300.0)


@pytest.mark.parametrize(
    ("walls", "words"),
    [
        (50.0, "half of what is lost is wall scrub"),
        (34.0, "a third of what is lost is wall scrub"),
        (75.0, "three quarters of what is lost is wall scrub"),
        (99.0, "nearly all of what is lost is wall scrub"),
    ],
)
def test_share_of_the_largest_loss_is_said_in_words(walls: float, words: str) -> None:
    rest = (100.0 - walls) / 4.0
    budget = dataclasses.replace(
        BUDGET, walls=walls, bearings=rest, rolling=rest, steady_drag=rest, air=rest
    )
    assert tell_main_loss(budget) == words


def test_a_run_without_loss_says_so() -> None:
    assert tell_main_loss(BUDGET) == "nothing is lost on the way"
