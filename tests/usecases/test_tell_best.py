"""What to try first is said in a sentence or two."""

from __future__ import annotations

import pytest

from hillbench.fitting.advice import Advice, Verdict
from hillbench.fitting.change import Change
from hillbench.fitting.forecast import Forecast
from hillbench.usecases.tell_best import tell_best


def _advice(
    name: str, verdict: Verdict, target: float | None = None, *, believed: bool = False
) -> Advice:
    forecast = Forecast(
        Change(name, minutes=20.0), 0.03, 0.01, 0.05, 9.0, 0.9, target, 0.0, None, believed
    )
    return Advice(forecast, verdict, "", "")


@pytest.mark.parametrize(
    ("advice", "told"),
    [
        (
            [_advice("trim", Verdict.WORTH_IT)],
            "Try this first: trim, about 0.030 s faster in 20 minutes of work.",
        ),
        (
            [_advice("trim", Verdict.PROBABLY, believed=True)],
            "Most likely to pay: trim, about 0.030 s faster in 20 minutes of work, though no "
            "reading of this car tells that yet.",
        ),
        (
            [_advice("trim", Verdict.UNSURE, 0.004)],
            "Nothing is sure to help yet. Best so far: trim, about 0.030 s faster in 20 minutes "
            "of work. None of them reaches 9 s.",
        ),
        (
            [_advice("trim", Verdict.WORTH_IT, 0.2), _advice("oil", Verdict.UNSURE, 0.62)],
            "Try this first: trim, about 0.030 s faster in 20 minutes of work. The best chance "
            "to reach 9 s, 62 %, is to oil.",
        ),
        (
            [_advice("trim", Verdict.NOT_WORTH_IT, 0.3), _advice("lead", Verdict.NOT_LEGAL, 0.9)],
            "None of these changes is worth the work. The best chance to reach 9 s, 30 %, is to "
            "trim.",
        ),
    ],
)
def test_the_best_change_is_named(advice: list[Advice], told: str) -> None:
    target = 9.0 if advice[0].forecast.probability_target is not None else None
    assert tell_best(advice, target) == told


def test_a_target_that_is_met_already_is_said_to_be() -> None:
    told = tell_best([_advice("trim", Verdict.WORTH_IT, 0.99)], 9.5, 9.4)
    assert told.endswith("Its typical time is below 9.5 s already.")
