from __future__ import annotations

import pytest

from hillbench.errors import InvalidInput
from hillbench.usecases.coast_file import answer_of, read_coast_question, run_question
from tests.usecases.coast_text import example_text


def test_losses_and_motion_sum_to_the_start() -> None:
    answer = answer_of(run_question(read_coast_question(example_text())))
    parts = dict(answer.energy_mj)
    start = parts.pop("start")
    assert sum(parts.values()) == pytest.approx(start, rel=1e-3)


def test_an_ideal_case_may_be_asked_for() -> None:
    """No wheel mass, CG height, air or losses; on an incline t = √(2 s / g sin θ)."""
    text = example_text(
        track={"slope_points": [{"at_m": 0.0, "slope_deg": 30.0}], "finish_at_m": 4.0},
        car__wheel_mass_g=0.0,
        car__cg_height_mm=0.0,
        car__drag_area_cm2=0.0,
        losses={},
        gravity_m_s2=10.0,
    )
    answer = answer_of(run_question(read_coast_question(text)))
    assert answer.finish_time_s == pytest.approx((2.0 * 4.0 / (10.0 * 0.5)) ** 0.5, rel=1e-9)
    assert answer.energy_mj["finish_motion"] == pytest.approx(0.037 * 10.0 * 2.0 * 1e3, rel=1e-9)


def test_a_limit_no_speed_reaches_is_null() -> None:
    answer = answer_of(run_question(read_coast_question(example_text(losses__wall_friction=0.0))))
    climb = [margin for margin in answer.margins if margin.kind == "wheel_climb"]
    assert [margin.limit_m_s for margin in climb] == [None]


def test_an_early_end_has_a_place_and_no_time() -> None:
    answer = answer_of(
        run_question(read_coast_question(example_text(losses__bearing_friction=2.0)))
    )
    assert answer.status == "stalled"
    assert answer.finish_time_s is None
    assert answer.time_error_s is None
    assert answer.where_m is not None


def test_problems_of_content_name_the_place_in_the_file() -> None:
    question = read_coast_question(example_text(car__mass_g=3700.0, track__gates_at_m=[7.0]))
    with pytest.raises(InvalidInput) as told:
        run_question(question)
    assert {problem.where for problem in told.value.problems} == {
        "car.mass_g",
        "track.gates_at_m[0]",
    }
