"""Scrutiny: readings against limits with the doubt of the instrument."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.errors import InvalidInput
from hillbench.racing.class_rules import ClassRules, Limit, rules_from
from hillbench.racing.scrutiny import Judged, Verdict, judge

SIXTY = ClassRules((Limit("mass_g", most=60.0), Limit("width_mm", 20.0, 36.0)), ("Dry?",))
FINE = {"width_mm": [30.0]}


def judged(*mass_g: float) -> Judged:
    return judge(SIXTY, {"mass_g": mass_g, **FINE}, {"Dry?": True})


@pytest.mark.parametrize(
    ("mass_g", "verdict"),
    [
        ([59.95], Verdict.PASS),
        ([59.96], Verdict.REMEASURE),
        ([60.05], Verdict.REMEASURE),
        ([60.06], Verdict.FAIL),
        ([60.04, 60.05], Verdict.REMEASURE),
        ([60.04, 60.05, 59.90], Verdict.PASS),
        ([60.04, 60.05, 59.98], Verdict.FAIL),
        ([], Verdict.OPEN),
    ],
)
def test_a_reading_near_the_limit_is_taken_again_and_three_decide(
    mass_g: list[float], verdict: Verdict
) -> None:
    assert judged(*mass_g).verdict is verdict


def test_both_sides_of_a_limit_count() -> None:
    narrow = judge(SIXTY, {"mass_g": [50.0], "width_mm": [19.0]}, {"Dry?": True})
    assert narrow.reasons() == ("Width is 19.00 mm, 1.00 mm under the least of 20 mm.",)
    wide = judge(SIXTY, {"mass_g": [50.0], "width_mm": [36.2]}, {"Dry?": True})
    assert wide.reasons() == ("Width is 36.20 mm, 0.20 mm over the most of 36 mm.",)


def test_a_failed_car_knows_every_reason() -> None:
    found = judge(SIXTY, {"mass_g": [61.0], "width_mm": [40.0]}, {"Dry?": False})
    assert found.verdict is Verdict.FAIL
    assert len(found.reasons()) == 3
    assert "“Dry?” was answered no." in found.reasons()


def test_a_question_left_open_is_no_pass() -> None:
    assert judge(SIXTY, {"mass_g": [50.0], **FINE}, {}).verdict is Verdict.OPEN


@given(st.floats(40.0, 80.0), st.floats(0.0, 1.0))
def test_pass_and_fail_stand_apart_by_the_guard_on_both_sides(mass_g: float, guard: float) -> None:
    rules = ClassRules((Limit("mass_g", most=60.0),), scale_guard_g=guard)
    verdict = judge(rules, {"mass_g": [mass_g]}, {}).verdict
    if mass_g <= 60.0 - guard:
        assert verdict is Verdict.PASS
    elif mass_g > 60.0 + guard + 1e-8:
        assert verdict is Verdict.FAIL
    elif 60.0 - guard + 1e-8 < mass_g:
        assert verdict is Verdict.REMEASURE


@pytest.mark.parametrize(
    ("limits", "says"),
    [
        ((Limit("mass_g", 60.0, 50.0),), "the least first"),
        ((Limit("mass_g"),), "without a limit"),
        ((Limit("speed_m_s", most=1.0),), "each once, of: mass_g"),
        ((Limit("mass_g", most=1.0), Limit("mass_g", most=2.0)), "each once"),
        ((Limit("mass_g", most=-1.0),), "more than 0"),
        ((Limit("mass_g", most=float("nan")),), "more than 0"),
    ],
)
def test_rules_that_cannot_be_are_refused(limits: tuple[Limit, ...], says: str) -> None:
    with pytest.raises(InvalidInput, match=says):
        ClassRules(limits)


def test_readings_no_car_can_have_are_refused() -> None:
    with pytest.raises(InvalidInput, match="more than 0, at most 1000 g"):
        judge(SIXTY, {"mass_g": [0.0]}, {})
    with pytest.raises(InvalidInput, match="one of: mass_g"):
        judge(SIXTY, {"colour": [1.0]}, {})


def test_rules_survive_being_kept() -> None:
    from dataclasses import asdict

    assert rules_from(asdict(SIXTY)) == SIXTY
