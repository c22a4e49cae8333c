from __future__ import annotations

import json
from typing import Any

import pytest

from hillbench.errors import InvalidInput
from hillbench.usecases.fit_file import FitAnswer, fit_answer, read_fit_question, run_fit
from tests.usecases.fit_text import fit_bundle


def _answer(bundle: dict[str, Any]) -> FitAnswer:
    return fit_answer(run_fit(read_fit_question(json.dumps(bundle))))


def test_the_sentence_says_what_is_known_and_what_is_not() -> None:
    answer = _answer(fit_bundle())
    assert answer.status == "fitted"
    assert answer.sentence.startswith("From 12 runs and 2 tests the load loss")
    known = {one.name: one.knowledge for one in answer.unknowns}
    assert known["wall_friction"] == "known"
    assert known["steer_deg"] == "as measured"
    assert known["drag_area_cm2"] == "not known"


def test_the_same_file_gives_the_same_answer() -> None:
    assert _answer(fit_bundle()) == _answer(fit_bundle())


def test_masses_never_varied_and_no_gates_are_told() -> None:
    bundle = fit_bundle(masses_g=(None,))
    bundle["track"]["gates_at_m"] = []
    bundle["spin_downs"] = []
    for run in bundle["runs"]:
        run["gate_times_s"] = []
    notes = " ".join(_answer(bundle).notes)
    assert "No car ran at two masses" in notes
    assert "There are no gate times" in notes


def test_one_run_and_none_invent_nothing() -> None:
    bundle = fit_bundle(count=1, masses_g=(None,))
    assert any("One run cannot tell" in note for note in _answer(bundle).notes)
    bundle.update(runs=[], spin_downs=[], roll_tests=[])
    answer = _answer(bundle)
    assert answer.status == "no_readings"
    assert "Nothing was measured yet" in answer.sentence


def test_rolling_and_bearings_are_known_together_only() -> None:
    bundle = fit_bundle(count=10)
    bundle["spin_downs"] = []
    assert any("together but not apart" in note for note in _answer(bundle).notes)


def test_runs_without_a_finish_are_counted_apart() -> None:
    bundle = fit_bundle()
    bundle["runs"].append({"car": "Mustard", "note": "no finish"})
    assert any("counted apart" in note for note in _answer(bundle).notes)


def test_every_problem_of_the_file_is_named() -> None:
    bundle = fit_bundle()
    bundle["runs"][0]["car"] = "Nobody"
    bundle["cars"][0]["car"]["mass_g"] = -3.0
    with pytest.raises(InvalidInput) as caught:
        _answer(bundle)
    places = [problem.where for problem in caught.value.problems]
    assert "cars[0].car.mass_g" in places
    assert "runs[0].car" in places


def test_an_unknown_key_names_the_nearest() -> None:
    bundle = fit_bundle()
    bundle["runs"][0]["finish_times_s"] = 9.0
    with pytest.raises(InvalidInput, match="did you mean finish_time_s"):
        read_fit_question(json.dumps(bundle))


def test_a_seed_below_zero_is_refused() -> None:
    with pytest.raises(InvalidInput, match="seed"):
        _answer({**fit_bundle(), "seed": -1})
