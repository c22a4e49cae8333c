"""Lines of a timer in an outing: the car whose turn it is on that lane, each line once."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from hillbench.errors import InvalidInput, NotFound
from hillbench.records.entities import RunNote, TimedBy
from hillbench.timing.line_rule import Field, Mark, read_line
from hillbench.usecases.begin_outing import begin_outing
from hillbench.usecases.take_line import PLAIN_RULE, find_rule, learn_rule, take_times
from tests.databases import ON_BOTH
from tests.usecases.outings import NOW, Clock, clock

pytestmark = ON_BOTH

LINE = "1=10.412 2=10.530"
MARKS = [
    Mark(Field.LANE, 0, 1),
    Mark(Field.TIME, 2, 8),
    Mark(Field.LANE, 9, 10),
    Mark(Field.TIME, 11, 17),
]


@pytest.fixture
def side(tmp_path: Path) -> Iterator[Clock]:
    """An outing of two cars side by side on two lanes."""
    with clock(tmp_path) as made:
        outing = begin_outing(made.book, made.track_id, made.car_ids, 2, NOW, together=True)
        yield Clock(made.book, made.track_id, made.car_ids, outing.id)


def take(side: Clock, line: str, key: str) -> list[tuple[int, str | None, float | None]]:
    times = read_line(find_rule(side.book), line)
    assert times is not None
    runs = take_times(side.book, side.outing_id, times, NOW, entry_key=key)
    return [(run.car_id, run.lane, run.finish_time_s) for run in runs]


def test_each_lane_goes_to_the_car_on_it(side: Clock) -> None:
    learn_rule(side.book, "shed", [LINE], MARKS, NOW)
    on_lane = {turn.lane: turn.car_id for turn in side.view().next_turns}
    kept = take(side, "2=10.530 1=10.412", "a")  # whoever comes in first is written first
    assert kept == [(on_lane["2"], "2", 10.53), (on_lane["1"], "1", 10.412)]
    second = {turn.lane: turn.car_id for turn in side.view().next_turns}
    assert take(side, "1=10.4 2=0.000", "b") == [(second["1"], "1", 10.4), (second["2"], "2", None)]
    last = side.view().runs[-1].run
    assert (last.note, last.time_source) == (RunNote.NO_FINISH, TimedBy.TIMER)
    comparison = side.view().comparison
    assert comparison is not None


def test_lane_on_which_nobody_runs(side: Clock) -> None:
    learn_rule(side.book, "shed", [LINE], MARKS, NOW)
    with pytest.raises(InvalidInput, match="lane is 7"):
        take(side, "7=10.412 8=10.530", "a")
    assert side.view().runs == ()


def test_newest_rule_counts_unless_one_is_named(side: Clock) -> None:
    assert find_rule(side.book) == PLAIN_RULE
    shed = learn_rule(side.book, "shed", [LINE], MARKS, NOW)
    ramp = learn_rule(side.book, "ramp", ["T10.4"], [Mark(Field.TIME, 1, 5)], NOW)
    assert find_rule(side.book) == ramp
    assert find_rule(side.book, "shed") == shed
    again = learn_rule(side.book, "shed", ["S10.4"], [Mark(Field.TIME, 1, 5)], NOW)
    assert find_rule(side.book, "shed") == again != shed
    with pytest.raises(NotFound):
        find_rule(side.book, "barn")


@pytest.mark.parametrize(
    ("line", "time_s"),
    [("10.412", 10.412), ("Finish: 9,87 s", 9.87), ("lane 1 time 10.4120 !", 10.412)],
)
def test_plain_lines_need_no_rule(line: str, time_s: float) -> None:
    read = read_line(PLAIN_RULE, line)
    assert read is not None
    assert [one.time_s for one in read] == [time_s]


@pytest.mark.parametrize("line", ["ready", "lane 1", "v1.2.3", ""])
def test_plain_rule_takes_no_time_from_nothing(line: str) -> None:
    assert read_line(PLAIN_RULE, line) is None
