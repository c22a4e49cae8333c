"""Which car is faster."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hillbench.errors import InvalidInput
from hillbench.timing.compare import compare
from hillbench.timing.history import spread_from_history
from hillbench.timing.prior import GENERAL
from hillbench.timing.run import RunNote, TimedRun
from hillbench.timing.stopping import Verdict
from tests.timing.runs import simulated


def _rng() -> np.random.Generator:
    return np.random.default_rng(11)


def test_a_clear_gap_is_found() -> None:
    runs = simulated("ABBAABBAAB", _rng(), faster_s={"B": 0.3})
    answer = compare(runs, _rng())
    pair = answer.pairs[0]
    assert (pair.first, pair.second, pair.verdict) == ("A", "B", Verdict.SECOND)
    assert pair.sure_for_headline
    assert pair.gap_low_s < -0.3 < pair.gap_high_s
    assert pair.runs_still_needed == 0
    assert [car.car for car in answer.ranking()] == ["B", "A"]
    assert answer.repeatability_limit_s == pytest.approx(2.8 * answer.spread_s)


def test_the_same_question_gets_the_same_answer() -> None:
    runs = simulated("ABBA", _rng())
    assert compare(runs, _rng()) == compare(runs, _rng())


@settings(max_examples=8, deadline=None)
@given(st.sampled_from([0.25, 0.5, 2.0, 4.0]), st.integers(0, 1000))
def test_everything_scales_with_the_times(factor: float, seed: int) -> None:
    """A power of two changes no digit, so even the draws are the same."""
    runs = simulated("ABBAAB", np.random.default_rng(seed))
    scaled = [replace(run, time_s=(run.time_s or 0.0) * factor) for run in runs]
    first, second = compare(runs, _rng()), compare(scaled, _rng())
    assert second.spread_s == pytest.approx(factor * first.spread_s, rel=1e-6)
    for one, other in zip(first.pairs, second.pairs, strict=True):
        assert other.gap_s == pytest.approx(factor * one.gap_s, rel=1e-6, abs=1e-6)
        assert other.probability_first_faster == pytest.approx(
            one.probability_first_faster, abs=1e-6
        )


def test_names_do_not_matter() -> None:
    runs = simulated("ABBAAB", _rng(), faster_s={"B": 0.03})
    swapped = [replace(run, car="BA"["AB".index(run.car)]) for run in runs]
    there = compare(runs, _rng()).pair("A", "B")
    back = compare(swapped, _rng()).pair("A", "B")
    assert there.probability_first_faster == pytest.approx(back.probability_first_faster, abs=0.01)
    assert there.gap_s == pytest.approx(back.gap_s, abs=0.003)


def test_a_bad_run_is_flagged_and_does_not_decide() -> None:
    runs = simulated("ABBAABBA", _rng())
    clean = compare(runs, _rng())
    runs[3] = replace(runs[3], time_s=11.4, row=5)
    answer = compare(runs, _rng())
    assert [(odd.place, odd.row) for odd in answer.odd_runs] == [(3, 5)]
    assert "slower" in answer.odd_runs[0].why
    assert answer.pairs[0].gap_s == pytest.approx(clean.pairs[0].gap_s, abs=0.04)
    assert answer.cars[0].runs == 4


def test_a_misfired_fast_time_does_not_win() -> None:
    runs = [TimedRun("A", time) for time in (10.40, 10.41, 10.39, 10.40)]
    runs += [TimedRun("B", time) for time in (9.20, 10.50, 10.51, 10.50)]
    answer = compare(runs, _rng())
    assert answer.pairs[0].verdict is Verdict.FIRST
    assert answer.odd_runs[0].time_s == 9.20
    assert "misfired" in answer.odd_runs[0].why
    assert answer.cars[1].best_time_s == 10.50


def test_a_run_noted_as_snag_counts_for_less() -> None:
    times = {"A": (10.40, 10.42, 10.41), "B": (10.42, 10.41, 10.53)}
    runs = [TimedRun(car, time) for car, own in times.items() for time in own]
    noted = [*runs[:5], replace(runs[5], note=RunNote.SNAG)]
    plain, told = compare(runs, _rng()), compare(noted, _rng())
    assert told.pairs[0].gap_s < plain.pairs[0].gap_s
    assert told.odd_runs[0].why.startswith("noted as snag")


def test_a_run_without_a_finish_is_counted_apart() -> None:
    runs = [*simulated("ABBAAB", _rng()), TimedRun("B", None, note=RunNote.NO_FINISH)]
    car = compare(runs, _rng()).cars[1]
    assert (car.runs, car.unfinished) == (3, 1)


def test_a_car_that_never_finished_has_no_pair() -> None:
    runs = [*simulated("ABBA", _rng()), TimedRun("C", None, note=RunNote.OFF_TRACK)]
    answer = compare(runs, _rng())
    assert len(answer.pairs) == 1
    assert answer.cars[2].typical_time_s is None
    assert answer.cars[2].probability_fastest is None


def test_one_car_alone_has_a_typical_time() -> None:
    answer = compare([TimedRun("A", 10.4), TimedRun("A", 10.5)], _rng())
    assert answer.pairs == ()
    assert answer.cars[0].typical_time_s == pytest.approx(10.45, abs=0.03)


def test_all_runs_bad() -> None:
    runs = [replace(run, note=RunNote.SNAG) for run in simulated("ABBAAB", _rng())]
    answer = compare(runs, _rng())
    assert answer.pairs[0].verdict is Verdict.KEEP_RUNNING


@pytest.mark.parametrize(
    ("runs", "matters"),
    [
        ([TimedRun("A", None), TimedRun("B", None)], None),
        ([], None),
        ([TimedRun("A", 10.0), TimedRun("B", 10.0)], 0.0),
        ([TimedRun("A", 10.0), TimedRun("B", 10.0)], float("nan")),
        ([TimedRun(str(car), 10.0) for car in range(81)], None),
    ],
)
def test_what_cannot_be_compared(runs: list[TimedRun], matters: float | None) -> None:
    with pytest.raises(InvalidInput) as refused:
        compare(runs, _rng(), matters_s=matters)
    assert len(refused.value.problems) == 1


def test_lanes_that_were_never_swapped_leave_doubt() -> None:
    """With each car always on one lane the lane may be the reason, so less is sure."""
    runs = simulated("ABBAABBA", _rng(), faster_s={"B": 0.06}, spread_s=0.02)
    fixed = [replace(run, lane="12"["AB".index(run.car)]) for run in runs]
    free, bound = (compare(some, _rng()).pairs[0] for some in (runs, fixed))
    width = bound.gap_high_s - bound.gap_low_s
    assert width > 1.3 * (free.gap_high_s - free.gap_low_s)


def test_drift_is_not_taken_for_a_gap() -> None:
    rng = _rng()
    runs = [
        TimedRun(car, 10.5 + 0.02 * place + 0.02 * float(rng.standard_normal()))
        for place, car in enumerate("AAAAAABBBBBB")
    ]
    pair = compare(runs, _rng()).pairs[0]
    assert pair.gap_low_s < 0.0 < pair.gap_high_s


def test_history_narrows_the_prior_and_is_named() -> None:
    earlier = simulated("ABBAABBAABBAABBAABBAABBA", _rng(), spread_s=0.02)
    prior = spread_from_history(earlier, _rng())
    assert prior is not None
    assert prior.median_s == pytest.approx(0.02, rel=0.4)
    assert prior.log_sd < 0.5
    runs = simulated("ABBA", _rng(), spread_s=0.02)
    assert compare(runs, _rng()).spread_source == GENERAL
    assert compare(runs, _rng(), earlier=earlier).spread_source == "24 earlier runs on this track"


def test_a_short_history_is_not_used() -> None:
    assert spread_from_history(simulated("ABBA" * 4, _rng()), _rng()) is None


def test_two_outings_each_with_its_own_day() -> None:
    rng = _rng()
    runs = [replace(run, outing="one") for run in simulated("ABBA", rng, faster_s={"B": 0.1})]
    later = simulated("ABBA", rng, faster_s={"B": 0.1}, typical_s=10.7)
    runs += [replace(run, outing="two") for run in later]
    pair = compare(runs, _rng()).pairs[0]
    assert pair.gap_s == pytest.approx(-0.1, abs=0.06)


def test_a_clock_read_by_thumb_widens_the_spread() -> None:
    runs = [TimedRun(car, 10.4) for car in "ABBA"]
    sharp, blunt = compare(runs, _rng()), compare(runs, _rng(), reading_uncertainty_s=0.1)
    assert blunt.spread_s > 0.1 > sharp.spread_s
