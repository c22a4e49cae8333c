"""The history of cars and tracks, and whether a change paid."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from hillbench.errors import InvalidInput, NotFound
from hillbench.records.outing_entities import Conditions
from hillbench.records.track_store import TrackState
from hillbench.timing.gain import Layout
from hillbench.timing.prior import GENERAL
from hillbench.timing.stopping import Verdict, runs_to_see
from hillbench.usecases.begin_outing import begin_outing
from hillbench.usecases.enter_run import enter_run
from hillbench.usecases.judge_gain import JudgedGain, judge_gain
from hillbench.usecases.note_run import note_run
from hillbench.usecases.save_track import save_track
from hillbench.usecases.show_timing import show_timing_of_car, show_timing_of_track
from hillbench.usecases.tell_timing import RUNS_EACH, real_difference_s
from tests.coasting.hill import WINDING
from tests.usecases.outings import NOW, Clock, clock


@pytest.fixture
def two(tmp_path: Path) -> Iterator[Clock]:
    """A bench with two cars on a track."""
    with clock(tmp_path) as made:
        yield made


def outing(two: Clock, days: float, *times: tuple[int, float | None]) -> int:
    """Run an outing some days on: (place of the car, time) in order."""
    at = NOW + timedelta(days=days)
    begun = begin_outing(two.book, two.track_id, two.car_ids, 1, at, conditions=Conditions(20.0))
    for number, (place, time_s) in enumerate(times):
        note = "off track" if time_s is None else "clean"
        moment = at + timedelta(minutes=number)
        car_id = two.car_ids[place]
        enter_run(two.book, begun.id, car_id, time_s, note, moment, confirmed=True)
    return begun.id


def test_history_has_a_point_for_each_car_and_outing(two: Clock) -> None:
    outing(two, 1, (0, 10.0), (1, 10.4), (1, 10.2), (0, 10.2), (0, 10.1), (0, None))
    outing(two, 40, (0, 9.8), (1, 10.0))
    note_run(two.book, two.track_id, two.car_ids[0], 9.9, "clean", NOW + timedelta(days=50))
    timing = show_timing_of_track(two.book, two.track_id)
    points = [(one.label, one.typical_time_s, one.best_time_s) for one in timing.points]
    assert points == [
        ("Sorrel", pytest.approx(10.1), 10.0),
        ("Bramble", pytest.approx(10.3), 10.2),
        ("Sorrel", 9.8, 9.8),
        ("Bramble", 10.0, 10.0),
        ("Sorrel", 9.9, 9.9),
    ]
    assert [(one.run_count, one.unfinished_count) for one in timing.points][:2] == [(3, 1), (2, 0)]
    first = timing.points[0]
    assert first.outing is not None
    assert first.outing.conditions.temperature_c == 20.0
    assert timing.points[4].outing is None
    assert timing.spread_source == GENERAL
    assert timing.spread_s == pytest.approx(0.06 * 10.0 / 10.5, rel=0.02)  # DESIGN: 0.6 %
    assert "general experience" in timing.real_difference


def test_interval_is_that_of_the_median(two: Clock) -> None:
    outing(two, 1, (0, 10.0), (0, 10.1), (0, 10.2), (0, 10.3))
    timing = show_timing_of_track(two.book, two.track_id)
    point = timing.points[0]
    # sd of a median: sqrt(pi/2) sigma/sqrt(n) (Kenney and Keeping, Mathematics of Statistics).
    assert timing.spread_s is not None
    expected_s = 1.645 * np.sqrt(np.pi / 2.0) * timing.spread_s / 2.0
    assert point.high_s - point.typical_time_s == pytest.approx(expected_s, rel=1e-3)
    assert point.typical_time_s - point.low_s == pytest.approx(expected_s, rel=1e-3)


def test_repeatability_by_month(two: Clock) -> None:
    # Two cells of two: s_r² = ((0.1²)/2 + (0.2²)/2)/2 (ISO 5725-2, 7.4.5.1), by hand.
    outing(two, 1, (0, 10.0), (1, 10.4), (1, 10.6), (0, 10.1))
    outing(two, 40, (0, 9.8))
    months = show_timing_of_track(two.book, two.track_id).months
    assert [month.month for month in months] == ["2026-03"]
    assert months[0].repeatability.spread_s == pytest.approx(np.sqrt(0.0125))


def test_record_passes_over_a_misfired_timer(two: Clock) -> None:
    outing(two, 1, (0, 10.0), (1, 10.4), (1, 10.3), (0, 10.1), (0, 4.9), (0, 10.0))
    record = show_timing_of_track(two.book, two.track_id).record
    assert record is not None
    assert (record.run.finish_time_s, record.label, record.doubtful_count) == (10.0, "Sorrel", 1)
    own = show_timing_of_car(two.book, two.car_ids[1])[0].record
    assert own is not None
    assert own.run.finish_time_s == 10.3


def test_car_has_one_timing_for_each_track(two: Clock) -> None:
    outing(two, 1, (0, 10.0), (1, 10.4))
    state = TrackState(WINDING, 0.01, 0.2)
    other = save_track(two.book, "Ramp", "", state, NOW)
    note_run(two.book, other.id, two.car_ids[0], 3.1, "clean", NOW + timedelta(days=3))
    timings = show_timing_of_car(two.book, two.car_ids[0])
    assert [one.track_name for one in timings] == ["Ramp", "Long shed"]
    assert {point.label for one in timings for point in one.points} == {"Sorrel"}


def test_track_that_nobody_ran_on(two: Clock) -> None:
    timing = show_timing_of_track(two.book, two.track_id)
    assert (timing.points, timing.months, timing.record) == ((), (), None)
    assert (timing.spread_s, timing.real_difference) == (None, "")
    assert show_timing_of_car(two.book, two.car_ids[0]) == ()
    with pytest.raises(NotFound):
        show_timing_of_car(two.book, 99)
    with pytest.raises(NotFound):
        show_timing_of_track(two.book, 99)


def test_real_difference_is_the_power_formula_turned_round() -> None:
    # Cohen 1988, section 2.4: n = 2 (1.645 + 0.842)² σ²/d².
    assert real_difference_s(0.05) == pytest.approx(2.487 * 0.05 * np.sqrt(2 / RUNS_EACH), rel=1e-3)
    assert runs_to_see(real_difference_s(0.05), 0.05) == pytest.approx(RUNS_EACH)


def test_history_says_what_a_real_difference_is(two: Clock) -> None:
    rng = np.random.default_rng(4)
    for day in range(6):
        outing(two, day, *((n % 2, 10.0 + 0.03 * float(rng.standard_normal())) for n in range(10)))
    timing = show_timing_of_track(two.book, two.track_id)
    assert timing.spread_s == pytest.approx(0.03, rel=0.3)
    assert timing.real_difference.startswith("A real difference here is about 0.0")
    assert "60 earlier runs on this track" in timing.real_difference


def test_work_on_the_cars_between_outings_does_not_widen_the_spread(two: Clock) -> None:
    rng = np.random.default_rng(6)
    for day in range(8):
        own_s = rng.normal(10.0, 0.3, 2)  # both cars are other cars each time
        outing(two, day, *((n % 2, float(own_s[n % 2] + rng.normal(0.0, 0.03))) for n in range(8)))
    timing = show_timing_of_track(two.book, two.track_id)
    assert timing.spread_s == pytest.approx(0.03, rel=0.3)


def judged(two: Clock, before: list[int], after: list[int]) -> JudgedGain:
    return judge_gain(
        two.book,
        two.car_ids[0],
        two.track_id,
        np.random.default_rng(2),
        before_outing_ids=before,
        after_outing_ids=after,
    )


def test_gain_beside_an_unchanged_car(two: Clock) -> None:
    rng = np.random.default_rng(8)

    def runs(own_s: float, day_s: float) -> list[tuple[int, float]]:
        scatter = 0.02 * rng.standard_normal(16)
        return [
            (n % 2, (own_s if n % 2 == 0 else 10.3) + day_s + float(scatter[n])) for n in range(16)
        ]

    before = outing(two, 1, *runs(10.0, 0.0))
    after = outing(two, 8, *runs(9.8, 0.1))  # a slower day, and 0.2 s gained
    answer = judged(two, [before], [after])
    assert answer.gain.layout is Layout.CONTROL
    assert answer.gain.gain_low_s < 0.2 < answer.gain.gain_high_s
    assert answer.gain.verdict is Verdict.SECOND
    assert answer.sentence.startswith("The change works")
    assert (len(answer.before_s), len(answer.after_s), answer.gain.runs_control) == (8, 8, 16)


def test_gain_without_a_control_warns(two: Clock) -> None:
    before = outing(two, 1, *((0, 10.0 + 0.01 * n) for n in range(5)))
    after = outing(two, 2, *((0, 9.9 + 0.01 * n) for n in range(5)))
    answer = judged(two, [before], [after])
    assert answer.gain.layout is Layout.PLAIN
    assert "cannot be told apart" in answer.sentence


def test_part_swapped_within_one_outing(two: Clock) -> None:
    times = (10.0, 9.8, 9.81, 10.01, 9.79, 10.0, 10.02, 9.8)
    outing(two, 1, *((0, time_s) for time_s in times))
    runs = show_timing_of_track(two.book, two.track_id)
    assert len(runs.points) == 1
    ids = range(1, 9)
    answer = judge_gain(
        two.book,
        two.car_ids[0],
        two.track_id,
        np.random.default_rng(2),
        before_run_ids=[ids[n] for n in (0, 3, 5, 6)],
        after_run_ids=[ids[n] for n in (1, 2, 4, 7)],
    )
    assert answer.gain.layout is Layout.SWAP
    assert answer.gain.gain_s == pytest.approx(0.2, abs=0.03)
    assert answer.before_s == (10.0, 10.01, 10.0, 10.02)


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [([], [2], "before is"), ([2], [], "after is"), ([2], [2], "before as well")],
)
def test_gain_that_cannot_be_judged(
    two: Clock, before: list[int], after: list[int], told: str
) -> None:
    assert outing(two, 1, (0, 10.0), (0, 10.1)) == 2
    with pytest.raises(InvalidInput, match=told):
        judged(two, before, after)
