from __future__ import annotations

import pytest

from hillbench.errors import InvalidInput
from hillbench.usecases.coast_file import CoastQuestion
from hillbench.usecases.question import read_question
from tests.usecases.coast_text import EXAMPLE, example_text


def sentences(text: str) -> list[str]:
    with pytest.raises(InvalidInput) as told:
        read_question(text, CoastQuestion)
    return [problem.sentence() for problem in told.value.problems]


def test_every_value_of_the_file_arrives_where_it_belongs() -> None:
    question = read_question(example_text(), CoastQuestion)
    assert [point.slope_deg for point in question.track.slope_points] == [20.0, 20.0, 0.0]
    assert question.track.gates_at_m == (3.0, 5.0)
    assert question.track.bends[0].turn_deg == 90.0
    for name, value in EXAMPLE["car"].items():
        assert getattr(question.car, name) == value
    for name, value in EXAMPLE["losses"].items():
        assert getattr(question.losses, name) == value


def test_a_misspelt_key_is_told_with_the_nearest_known_one() -> None:
    (sentence,) = sentences(example_text(car__mas_g=37.0))
    assert sentence.startswith("car.mas_g is an unknown key")
    assert sentence.endswith("did you mean mass_g?")


def test_a_misspelt_key_in_a_list_is_told_with_its_place() -> None:
    points = [{"at_m": 0.0, "slop_deg": 20.0}]
    found = sentences(example_text(track__slope_points=points))
    assert any(line.startswith("track.slope_points[0].slop_deg") for line in found)
    assert any("slope_points[0].slope_deg is missing" in line for line in found)


@pytest.mark.parametrize(
    ("value", "seen"), [("6", "'6'"), (None, "None"), (True, "True"), (float("nan"), "nan")]
)
def test_what_is_no_number_is_refused_with_its_value(value: object, seen: str) -> None:
    (sentence,) = sentences(example_text(track__finish_at_m=value))
    assert sentence.startswith(f"track.finish_at_m is {seen}; allowed is a")


@pytest.mark.parametrize("text", ["", "{", "[]", "3", '"car"', "{} {}", "\x00"])
def test_what_is_no_object_is_refused_in_one_sentence(text: str) -> None:
    (sentence,) = sentences(text)
    assert sentence.startswith("the file is")


def test_every_problem_is_told_at_once() -> None:
    assert len(sentences(example_text(car__wheel_count=3.5, gravity=9.8, losses=[]))) == 3
