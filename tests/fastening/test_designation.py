from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.errors import InvalidInput
from hillbench.fastening.designation import parse_drill, parse_length_mm, parse_thread
from hillbench.fastening.drill import drills
from hillbench.fastening.thread import threads


@pytest.mark.parametrize(
    ("text", "designation"),
    [
        ("2-56", "2-56"),
        (" #2-56 ", "2-56"),
        ("No. 2-56", "2-56"),
        ("2-56 UNC", "2-56"),
        ("2-56 UNC-2A", "2-56"),
        ("2 – 56", "2-56"),
        ("4-40", "4-40"),
        ("M2x0.4", "M2x0.4"),
        ("m2×0,4", "M2x0.4"),
        ("M2-0.4", "M2x0.4"),
        ("M2", "M2x0.4"),
        ("M2.5", "M2.5x0.45"),
        ("M3x0.5-6g", "M3x0.5"),
    ],
)
def test_threads_as_they_are_typed(text: str, designation: str) -> None:
    assert parse_thread(text).designation == designation


@pytest.mark.parametrize(
    ("text", "near"),
    [
        ("2-55", "did you mean 2-56?"),
        ("#2", "did you mean 2-56 or 2-64?"),
        ("M2x0.45", "did you mean M2x0.4?"),
        ("0-81", "did you mean 0-80?"),
    ],
)
def test_an_unknown_thread_is_told_with_the_nearest(text: str, near: str) -> None:
    with pytest.raises(InvalidInput, match="designation is") as told:
        parse_thread(text)
    assert told.value.problems[0].sentence().endswith(near)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("5/64", "5/64 in"),
        ("5/64 in", "5/64 in"),
        ('5/64"', "5/64 in"),
        ("10/128", "5/64 in"),
        ("#50", "#50"),
        ("No. 50", "#50"),
        ("#050", "#50"),
        ("c", "C"),
        ("1.75mm", "1.75 mm"),
        ("1,75 mm", "1.75 mm"),
        ("0.071 in", "0.071 in"),
        ("1.81mm", "1.81 mm"),
    ],
)
def test_drills_as_they_are_typed(text: str, name: str) -> None:
    assert parse_drill(text).name == name


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("5/64mm", "did you mean 5/64 in, which is 1.984 mm?"),
        ("50", "did you mean #50, which is 1.778 mm?"),
        ("1.75", "did you mean 1.75 mm?"),
        ("0.07", "did you mean 0.07 in?"),
        ("#99", "did you mean #80?"),
        ("#0", "did you mean #1?"),
        ("5/65", "did you mean 5/64 in?"),
        ("AA", "did you mean A?"),
    ],
)
def test_a_doubtful_drill_is_asked_about(text: str, remedy: str) -> None:
    with pytest.raises(InvalidInput, match="drill is") as told:
        parse_drill(text)
    assert told.value.problems[0].sentence().endswith(remedy)


@pytest.mark.parametrize("text", ["", "0mm", "3/0", "-1mm", "99mm", "nan mm", "1e9 mm", "x" * 99])
def test_what_is_no_drill_is_refused(text: str) -> None:
    with pytest.raises(InvalidInput):
        parse_drill(text)


@given(st.text(max_size=12))
def test_any_text_is_a_drill_and_a_thread_or_bad_input(text: str) -> None:
    for parse in (parse_drill, parse_thread):
        with contextlib.suppress(InvalidInput):
            assert parse(text) in (*drills(), *threads()) or parse is parse_drill


def test_every_name_of_the_tables_is_read_back() -> None:
    for drill in drills():
        assert parse_drill(drill.name).diameter_mm == pytest.approx(drill.diameter_mm, abs=1e-9)
    for thread in threads():
        assert parse_thread(thread.designation) is thread


@pytest.mark.parametrize(
    ("text", "length_mm"), [("4", 4.0), ("4,5 mm", 4.5), ("3/16 in", 4.7625), ("0.25in", 6.35)]
)
def test_lengths_in_a_field_of_mm(text: str, length_mm: float) -> None:
    assert parse_length_mm(text, "engagement_mm") == pytest.approx(length_mm, rel=1e-12)


@pytest.mark.parametrize("text", ["5/64", "5/64 mm"])
def test_a_fraction_in_a_field_of_mm_is_asked_about(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"did you mean 5/64 in, which is 1\.984 mm\?"):
        parse_length_mm(text, "engagement_mm")
