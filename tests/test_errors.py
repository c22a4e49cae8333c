from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from hillbench.errors import HillbenchError, InvalidInput, NotFound, Problem


def test_a_problem_is_one_sentence_with_place_value_and_remedy() -> None:
    problem = Problem("car.mass_g", "3700 g", "between 1 and 1000 g", "check the decimal point")
    assert problem.sentence() == (
        "car.mass_g is 3700 g; allowed is between 1 and 1000 g: check the decimal point."
    )


def test_without_a_remedy_the_sentence_still_ends() -> None:
    assert Problem("finish", "0 m", "more than 0 m").sentence().endswith("more than 0 m.")


def test_each_problem_has_its_line() -> None:
    error = InvalidInput([Problem("a", "1", "2"), Problem("b", "3", "4")])
    assert str(error).splitlines() == ["a is 1; allowed is 2.", "b is 3; allowed is 4."]
    assert [problem.where for problem in error.problems] == ["a", "b"]


@given(seen=st.text(min_size=200, max_size=5000))
def test_a_long_value_is_shortened(seen: str) -> None:
    assert len(Problem("name", seen, "at most 200 characters").sentence()) < 160


def test_what_is_not_found_is_named() -> None:
    error = NotFound("car", 12)
    assert isinstance(error, HillbenchError)
    assert (error.kind, error.key) == ("car", 12)
    assert "car" in str(error)
    assert "12" in str(error)
