from __future__ import annotations

import json
from typing import Any

import pytest

from hillbench.errors import InvalidInput
from hillbench.usecases.advise_file import (
    AdviceAnswer,
    advice_answer,
    read_advice_question,
    run_advice,
)
from tests.usecases.fit_text import advice_bundle


def _answer(**more: Any) -> AdviceAnswer:
    return advice_answer(run_advice(read_advice_question(json.dumps(advice_bundle(**more)))))


def test_the_usual_changes_are_ranked_with_their_sentences() -> None:
    answer = _answer()
    names = [one.name for one in answer.advice]
    assert "add weight up to 56.95 g" in names
    assert any("graphite" in name for name in names)
    assert any(" and " in name for name in names)
    assert answer.time_s == pytest.approx(9.06, abs=0.1)
    for one in answer.advice:
        assert one.probability_target is not None
        assert one.name[1:] in one.sentence
        assert one.minutes is not None
        if one.gain_s is not None:
            assert one.gain_per_minute_s == pytest.approx(one.gain_s / one.minutes)
    assert answer.readings[0].share_left <= answer.readings[-1].share_left
    assert answer.readings_about in names


def test_own_changes_with_their_price() -> None:
    changes = [
        {"name": "light wheels", "wheel_mass_g": 0.5, "minutes": 40.0, "cost": 6.5},
        {"name": "too much lead", "mass_g": 60.0},
    ]
    answer = _answer(changes=changes, pairs=False)
    by_name = {one.name: one for one in answer.advice}
    assert by_name["too much lead"].verdict == "not legal"
    assert by_name["light wheels"].minutes == 40.0
    assert by_name["light wheels"].legal is True
    assert answer.advice[-1].name == "too much lead"
    assert "the class allows 57 g less 0.05 g for the scale" in answer.advice[-1].sentence


def test_wheels_that_a_class_does_not_allow_are_not_legal() -> None:
    limits = [{"quantity": "wheel_diameter_mm", "most": 10.5}]
    changes = [{"name": "large wheels", "wheel_diameter_mm": 12.0}]
    (advised,) = _answer(changes=changes, pairs=False, limits=limits).advice
    assert (advised.verdict, advised.legal) == ("not legal", False)
    assert "a wheel diameter of at most 10.5 mm, not 12 mm" in advised.sentence


def test_nothing_worth_it_is_said() -> None:
    changes = [{"name": "polish the badge", "drag_area_factor": 0.999}]
    answer = _answer(changes=changes)
    assert answer.sentence == (
        "None of these changes is worth the work. None of them reaches 8.9 s."
    )
    assert answer.advice[0].verdict == "not worth it"


def test_minutes_and_what_ranks_first_may_be_asked() -> None:
    changes = [
        {"name": "slow work", "drag_area_factor": 0.5},
        {"name": "quick work", "drag_area_factor": 0.6, "minutes": 1.0},
    ]
    minutes = {"air": 120.0}
    for rank, first in (("gain", "slow work"), ("gain per minute", "quick work")):
        answer = _answer(changes=changes, pairs=False, minutes=minutes, rank_by=rank)
        assert answer.advice[0].name == first
    assert {one.name: one.minutes for one in answer.advice}["slow work"] == 120.0
    with pytest.raises(InvalidInput) as caught:
        _answer(minutes={"air": -1.0}, rank_by="luck", limits=[{"quantity": "mass_g"}])
    assert [one.where for one in caught.value.problems] == [
        "minutes.air", "limits[0].quantity", "rank_by",
    ]  # fmt: skip


def test_a_car_that_does_not_exist_and_wrong_numbers_are_told() -> None:
    with pytest.raises(InvalidInput, match="advised_car"):
        _answer(advised_car="Nobody")
    wrong = [{"name": "x", "mass_g": -2.0}]
    with pytest.raises(InvalidInput) as caught:
        _answer(changes=wrong, target_time_s=-1.0)
    places = [problem.where for problem in caught.value.problems]
    assert places[:2] == ["target_time_s", "changes[0].mass_g"]
