"""Rules for the lines of timers. The formats are invented, each different in kind."""

from __future__ import annotations

import json
from dataclasses import asdict

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.errors import InvalidInput
from hillbench.timing.line_rule import (
    Field,
    LineRule,
    LineTime,
    Mark,
    learn_line_rule,
    mark_text,
    read_line,
    rule_from,
)
from hillbench.timing.line_stream import LineStream

WORDS = ("Lane 1  3.2541 s  1st", "Lane 2  13.3010 s  2nd", "Lane 3   3.9 s  3rd")


def rule(line: str, *parts: tuple[Field, str], more: tuple[str, ...] = ()) -> LineRule:
    return learn_line_rule([line, *more], [mark_text(line, field, text) for field, text in parts])


def test_lane_place_and_time_in_words() -> None:
    marks = [Mark(Field.LANE, 5, 6), Mark(Field.TIME, 8, 14), Mark(Field.PLACE, 18, 19)]
    learned = learn_line_rule(WORDS, marks)
    assert [read_line(learned, line) for line in WORDS] == [
        (LineTime(3.2541, "1", "1"),),
        (LineTime(13.301, "2", "2"),),
        (LineTime(3.9, "3", "3"),),
    ]


def test_several_lanes_on_one_line() -> None:
    line = "A=3.2541! B=3.3010"
    parts = ((Field.LANE, "A"), (Field.TIME, "3.2541"), (Field.LANE, "B"), (Field.TIME, "3.3010"))
    learned = rule(line, *parts)
    assert read_line(learned, "C=3.1000! D=3.9999") == (
        LineTime(3.1, "C"),
        LineTime(3.9999, "D"),
    )
    assert read_line(learned, "A=0.0000! B=3.4000") == (LineTime(None, "A"), LineTime(3.4, "B"))


@pytest.mark.parametrize(
    ("line", "time", "other", "expected"),
    [
        ("#7;10,412", "10,412", "#8;9,871", 9.871),
        ("00:10.412", "00:10.412", "01:02.5", 62.5),
        ("T 010.412*", "010.412", "T 009.871*", 9.871),
        ("<t>10.4</t>", "10.4", "<t>9.87</t>", 9.87),
        ("10.4", "10.4", " 9.87 ", 9.87),
    ],
)
def test_ways_of_writing(line: str, time: str, other: str, expected: float) -> None:
    read = read_line(rule(line, (Field.TIME, time)), other)
    assert read == (LineTime(expected),)


def test_thousandths_as_whole_numbers() -> None:
    learned = learn_line_rule(["L1 10412"], [Mark(Field.TIME, 3, 8)], "ms")
    assert read_line(learned, "L2 09871") == (LineTime(9.871),)


def test_words_that_change_are_left_free_only_where_they_do() -> None:
    fixed = rule("time 3.25", (Field.TIME, "3.25"), more=("time 3.30",))
    assert read_line(fixed, "best 3.25") is None
    free = rule("win 3.25", (Field.TIME, "3.25"), more=("lose 3.30",))
    assert read_line(free, "draw 3.40") == (LineTime(3.4),)


@pytest.mark.parametrize(
    "line", ["", "Lane 1", "Lane 1 3.2", "\ufffd\ufffdne 1  3.2541 s  1st", "x"]
)
def test_what_does_not_fit_is_no_time(line: str) -> None:
    learned = learn_line_rule(WORDS, [Mark(Field.LANE, 5, 6), Mark(Field.TIME, 8, 14)])
    assert read_line(learned, line) is None


def test_time_that_cannot_be_is_told() -> None:
    with pytest.raises(InvalidInput, match=r"time is 99999\.9"):
        read_line(rule("t 3.2", (Field.TIME, "3.2")), "t 99999.9")


@pytest.mark.parametrize(
    ("marks", "told"),
    [
        ([], "time is not marked"),
        ([Mark(Field.LANE, 0, 4)], "time is not marked"),
        ([Mark(Field.TIME, 8, 14), Mark(Field.LANE, 9, 12)], "lane is marked from 9 to 12"),
        ([Mark(Field.TIME, 8, 99)], "time is marked from 8 to 99"),
        ([Mark(Field.TIME, 0, 4)], "time is 'Lane'"),
        ([Mark(Field.LANE, 0, 4), Mark(Field.LANE, 5, 6), Mark(Field.TIME, 8, 14)], "2 times"),
    ],
)
def test_marks_that_make_no_rule(marks: list[Mark], told: str) -> None:
    with pytest.raises(InvalidInput, match=told):
        learn_line_rule(WORDS, marks)


def test_part_that_is_not_there_once() -> None:
    with pytest.raises(InvalidInput, match="stands there 2 times"):
        mark_text("1 1", Field.LANE, "1")
    with pytest.raises(InvalidInput, match="stands there 0 times"):
        mark_text("1 1", Field.TIME, "9")


@given(
    st.text(st.characters(categories=["L", "P", "S", "Zs"]), max_size=12),
    st.text(st.characters(categories=["L", "P", "S", "Zs"]), max_size=12),
    st.decimals(1, 3000, places=3),
)
def test_any_line_reads_itself_and_the_rule_is_kept_whole(
    before: str, after: str, time: object
) -> None:
    line = f"{before} {time} {after}"
    learned = learn_line_rule([line], [Mark(Field.TIME, len(before) + 1, len(before) + 6)])
    begin = len(before) + 1
    learned = learn_line_rule([line], [Mark(Field.TIME, begin, begin + len(str(time)))])
    assert read_line(learned, line) == (LineTime(float(str(time))),)
    assert rule_from(json.loads(json.dumps(asdict(learned)))) == learned


def test_half_lines_wait_and_line_ends_may_be_any() -> None:
    stream = LineStream()
    assert stream.feed(b"Lane 1  3.", 0.0) == []
    assert stream.feed(b"2541\r", 0.1) == ["Lane 1  3.2541"]
    assert stream.feed(b"\nLane 2  4.0\nLane 3  5.0\r\n", 0.2) == ["Lane 2  4.0", "Lane 3  5.0"]


def test_half_a_line_before_the_plug_was_pulled_is_forgotten() -> None:
    stream = LineStream()
    stream.feed(b"Lane 1  3.", 0.0)
    stream.interrupt()
    assert stream.feed(b"9.5\n", 1.0) == ["9.5"]


def test_same_line_at_once_is_one_line_and_later_another() -> None:
    stream = LineStream()
    assert stream.feed(b"1 3.2541\n1 3.2541\n", 0.0) == ["1 3.2541"]
    assert stream.feed(b"1 3.2541\n", 1.0) == []
    assert stream.repeat_count == 2
    assert stream.feed(b"1 3.2541\n", 60.0) == ["1 3.2541"]


@given(st.lists(st.binary(max_size=400), max_size=12))
def test_garbage_never_stops_the_stream(parts: list[bytes]) -> None:
    stream = LineStream()
    for number, part in enumerate(parts):
        stream.feed(part, float(number))
    stream.interrupt()
    assert stream.feed(b"\n1 3.2541\n", 1000.0)[-1:] == ["1 3.2541"]


def test_endless_line_is_not_kept() -> None:
    stream = LineStream()
    for number in range(100):
        stream.feed(b"x" * 10_000, float(number))
    assert len(stream._half) < 20_000
