"""Finish times as they are written."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.errors import InvalidInput
from hillbench.timing.time_text import parse_time


@pytest.mark.parametrize(
    "text",
    ["10.4", "10,4", " 10.40 ", "0:10.4", "0:10,4", "00:10.40", "10.4 s", "10.4s", "10400 ms"],
)
def test_the_same_time_written_in_many_ways(text: str) -> None:
    assert parse_time(text) == pytest.approx(10.4, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("1:02.5", 62.5), ("1:02.5 min", 62.5), ("0:01:02.5", 62.5), ("0.5 min", 30.0)],
)
def test_minutes(text: str, seconds: float) -> None:
    assert parse_time(text) == pytest.approx(seconds)


def test_a_bare_number_takes_the_unit_of_its_column() -> None:
    assert parse_time("10400", unit="ms") == pytest.approx(10.4)
    assert parse_time("10.4 s", unit="ms") == pytest.approx(10.4)


@pytest.mark.parametrize(
    "text",
    [
        *("", "-", "n/a", "0", "0.0", "-10.4", "−10.4", "1e9", "99999", "ten", "10.4.2", "10:99"),
        *("nan", "inf", "10.4 kg", "1/0", "1:75:10", "9" * 50, "10;4", "1_0"),
    ],
)
def test_nonsense_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(InvalidInput) as refused:
        parse_time(text, "row 3, time")
    assert len(refused.value.problems) == 1
    sentence = refused.value.problems[0].sentence()
    assert sentence.startswith("row 3, time is ")
    assert "\n" not in sentence


@given(st.integers(min_value=100, max_value=3_599_999), st.sampled_from([".", ","]))
def test_what_is_written_comes_back(milliseconds: int, mark: str) -> None:
    minutes, rest = divmod(milliseconds, 60_000)
    clock = f"{minutes}:{rest // 1000:02d}{mark}{rest % 1000:03d}"
    plain = f"{milliseconds // 1000}{mark}{milliseconds % 1000:03d}"
    for text in (clock, plain, f"{milliseconds} ms", f"{plain} s"):
        assert parse_time(text) == pytest.approx(milliseconds / 1000.0, abs=1e-9)


@given(st.text(max_size=60))
def test_any_text_is_a_time_or_is_refused(text: str) -> None:
    try:
        time_s = parse_time(text)
    except InvalidInput:
        return
    assert 0.1 <= time_s <= 3600.0
