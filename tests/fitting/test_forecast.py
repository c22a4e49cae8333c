"""Forecasts, what further readings would tell, advice and the scoreboard."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from hillbench.fitting.advice import Rank, Verdict, advise, judge
from hillbench.fitting.change import Change, check_change, combined
from hillbench.fitting.cost import MINUTES, Work, with_minutes, works_of
from hillbench.fitting.evidence import Setup
from hillbench.fitting.fit import Fit, fit
from hillbench.fitting.forecast import Aim, Forecast, forecast_changes
from hillbench.fitting.information import PlannedReading, ReadingKind, expect, rank_readings
from hillbench.fitting.legality import CarLimit, what_is_illegal
from hillbench.fitting.readings import RollTest
from hillbench.fitting.scoreboard import KeptForecast, score_forecasts
from hillbench.fitting.suggestion import MOST_PAIRS, pairs_of, suggest_changes
from tests.fitting.world import CAR, WINDING, Truth, evidence, make_runs, true_times

TRUTH = Truth()
SETUP = Setup("Mustard", "dry", CAR)
HEAVIER = Change("add 20 g", mass_g=57.0)
GRAPHITE = Change("graphite", state="graphite")
STRAIGHT = Change("straighten", steer_deg=0.0)
TRIMMED = Change("trim", drag_area_factor=0.8)


@cache
def _fit() -> Fit:
    rng = np.random.default_rng(1)
    track = replace(WINDING, gates_at_m=(6.0, 12.0))
    runs = make_runs(track, TRUTH, 10, rng, (None, 47.0))
    roll = (RollTest("Mustard", 1.0, 300.0),)
    given = evidence(track, TRUTH, runs, roll_tests=roll)
    return fit(given, rng, [SETUP, GRAPHITE.applied_to(SETUP)])


def _forecast(change: Change, aim: Aim = Aim()) -> Forecast:  # noqa: B008 (frozen)
    return forecast_changes(_fit(), SETUP, [change], aim)[0]


def test_no_change_gains_nothing() -> None:
    nothing = _forecast(Change("leave it"))
    assert (nothing.gain_low_s, nothing.gain_s, nothing.gain_high_s) == (0.0, 0.0, 0.0)


def test_no_change_gains_nothing_where_the_state_was_never_measured() -> None:
    setup = GRAPHITE.applied_to(SETUP)
    nothing = forecast_changes(_fit(), setup, [Change("leave it")], Aim())[0]
    assert (nothing.gain_low_s, nothing.gain_s, nothing.gain_high_s) == (0.0, 0.0, 0.0)


def test_what_weight_pays_is_believed_until_masses_were_varied() -> None:
    rng = np.random.default_rng(4)
    totals = evidence(WINDING, TRUTH, make_runs(WINDING, TRUTH, 6, rng, gates=False))
    fitted = fit(totals, rng)
    for change in (HEAVIER, TRIMMED):
        assert forecast_changes(fitted, SETUP, [change], Aim())[0].rests_on_belief


def test_the_true_gain_of_weight_lies_in_the_interval() -> None:
    track = _fit().evidence.track
    true = true_times(track, TRUTH)[-1] - true_times(track, TRUTH, 57.0)[-1]
    forecast = _forecast(HEAVIER)
    assert forecast.gain_low_s is not None
    assert forecast.gain_high_s is not None
    assert forecast.gain_low_s < true < forecast.gain_high_s


def test_a_lubrication_never_tried_is_wide() -> None:
    graphite = _forecast(GRAPHITE)
    assert graphite.gain_s is not None
    assert graphite.gain_low_s is not None
    assert graphite.gain_high_s is not None
    assert graphite.gain_s > 0.0
    assert graphite.gain_high_s - graphite.gain_low_s > 0.2


def test_straightening_and_trimming_gain() -> None:
    for change in (STRAIGHT, TRIMMED):
        forecast = _forecast(change)
        assert forecast.gain_low_s is not None
        assert forecast.gain_low_s > 0.0


def test_both_together_gain_about_the_sum() -> None:
    both = combined(HEAVIER, TRIMMED)
    assert both.parts == 2
    assert both.mass_g == 57.0
    parts = sum(_forecast(change).gain_s or 0.0 for change in (HEAVIER, TRIMMED))
    assert _forecast(both).gain_s == pytest.approx(parts, rel=0.2)


def test_target_and_class_limit() -> None:
    aim = Aim(target_time_s=20.0, mass_limit_g=57.0)
    assert _forecast(HEAVIER, aim).probability_target == 1.0
    assert _forecast(HEAVIER, aim).legal is False  # no room left for the scale
    assert _forecast(Change("less", mass_g=56.9), aim).legal is True
    assert _forecast(Change("less", mass_g=56.9), Aim(target_time_s=1.0)).probability_target == 0.0


def test_a_change_that_may_stall_gives_no_time() -> None:
    sticky = Change("large axles", axle_diameter_mm=9.0)
    forecast = _forecast(sticky)
    assert forecast.gain_s is None
    assert judge(forecast, 0.01) is Verdict.STALLS


def test_impossible_changes_are_told() -> None:
    wrong = Change("x", mass_g=-1.0, drag_area_factor=0.0, steer_deg=-2.0, minutes=-1.0)
    places = [problem.where for problem in check_change(wrong, SETUP, "changes[0]")]
    assert places == [
        "changes[0].mass_g", "changes[0].wheel_mass_g", "changes[0].drag_area_factor",
        "changes[0].steer_deg", "changes[0].minutes",
    ]  # fmt: skip


def _made(low: float, middle: float, high: float, **more: object) -> Forecast:
    faster = 1.0 if low > 0.0 else 0.0 if high < 0.0 else 0.85
    made = Forecast(Change("it"), middle, low, high, 9.0, faster, None, 0.0, None)
    return replace(made, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("forecast", "verdict"),
    [
        (_made(0.02, 0.05, 0.08), Verdict.WORTH_IT),
        (_made(-0.01, 0.05, 0.1), Verdict.PROBABLY),
        (_made(0.02, 0.05, 0.08, rests_on_belief=True), Verdict.PROBABLY),
        (_made(-0.05, 0.005, 0.1), Verdict.UNSURE),
        (_made(-0.002, 0.001, 0.004), Verdict.NOT_WORTH_IT),
        (_made(-0.09, -0.05, -0.02), Verdict.SLOWER),
        (
            _made(0.02, 0.05, 0.08, legal=False, illegal="the class allows 57 g"),
            Verdict.NOT_LEGAL,
        ),
    ],
)
def test_verdicts(forecast: Forecast, verdict: Verdict) -> None:
    assert judge(forecast, 0.01) is verdict
    advice = advise([forecast], Aim(mass_limit_g=57.0))[0]
    assert advice.verdict is verdict
    assert len(advice.sentence) > 20


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (Change("57 g", mass_g=57.0), "the class allows 57 g less 0.05 g for the scale"),
        (
            Change("large", wheel_diameter_mm=11.95),
            "the class allows a wheel diameter of at least 9 and at most 12 mm with 0.1 mm for "
            "the caliper, not 11.95 mm",
        ),
        (Change("fits", mass_g=56.95, wheel_diameter_mm=11.9), ""),
        (Change("as it is", mass_g=40.0), ""),  # the wheelbase was out of class before
    ],
)
def test_what_a_class_does_not_allow_is_told(change: Change, told: str) -> None:
    limits = (CarLimit("wheel_diameter_mm", 9.0, 12.0, 0.1), CarLimit("wheelbase_mm", 45.0, None))
    aim = Aim(mass_limit_g=57.0, limits=limits)
    assert what_is_illegal(SETUP, change.applied_to(SETUP), aim) == told


def test_the_best_verdict_stands_first_and_single_changes_before_pairs() -> None:
    pair = _made(0.02, 0.2, 0.3)
    pair = replace(pair, change=replace(pair.change, parts=2))
    given = [_made(-0.002, 0.001, 0.004), pair, _made(0.02, 0.05, 0.08)]
    assert [one.forecast.gain_s for one in advise(given, Aim())] == [0.05, 0.2, 0.001]


def test_price_is_told() -> None:
    change = Change("it", minutes=25.0, cost=4.0, cost_of="3 × lead")
    dear = _made(0.02, 0.05, 0.08, change=change)
    sentence = advise([dear], Aim(), currency="EUR")[0].sentence
    assert "It takes 25 minutes and EUR 4.00 (3 × lead): 2 ms gained for each minute." in sentence
    free = replace(dear, change=replace(change, cost=0.0, cost_of="", minutes=1.0))
    assert "It takes 1 minute and no money" in advise([free], Aim())[0].sentence
    slow = _made(-0.08, -0.05, -0.02, change=change)
    assert "It takes" not in advise([slow], Aim())[0].sentence


def test_changes_may_be_ranked_by_what_a_minute_gains() -> None:
    quick = _made(0.02, 0.03, 0.04, change=Change("quick", minutes=5.0))
    long = _made(0.05, 0.06, 0.08, change=Change("long", minutes=60.0))
    no_use = _made(-0.002, 0.001, 0.004, change=Change("no use", minutes=0.1))
    for rank, order in (
        (Rank.GAIN, ["long", "quick", "no use"]),
        (Rank.GAIN_PER_MINUTE, ["quick", "long", "no use"]),
    ):
        ranked = advise([no_use, quick, long], Aim(), rank=rank)
        assert [one.forecast.change.name for one in ranked] == order


def test_losses_are_written_with_a_minus_sign() -> None:
    sentence = advise([_made(-0.09, -0.05, -0.02)], Aim())[0].sentence
    assert "loses about 0.050 s (90 % between −0.090 and −0.020 s)" in sentence


def test_minutes_of_a_change_are_those_of_all_its_work() -> None:
    both = Change("both", mass_g=50.0, state="graphite")
    assert works_of(both) == {Work.WEIGHT, Work.LUBRICATION}
    assert with_minutes(both, dict.fromkeys(Work, 7.0)).minutes == 14.0
    assert with_minutes(replace(both, minutes=3.0)).minutes == 3.0
    assert works_of(Change("none")) == frozenset()
    pair = combined(with_minutes(HEAVIER), with_minutes(TRIMMED))
    assert pair.minutes == MINUTES[Work.WEIGHT] + MINUTES[Work.AIR]


def test_expected_information_of_one_reading_of_the_target() -> None:
    """A reading of the target itself with its own variance halves it and tells half a bit."""
    target = np.array([1.0, 0.0])
    planned = PlannedReading(ReadingKind.RUNS, "it", target[None, :], np.array([2.0]))
    found = expect(np.diag([4.0, 1.0]), target, planned)
    assert found.share_left == pytest.approx(0.5)
    assert found.bits == pytest.approx(0.5)
    assert found.target_spread_s == pytest.approx(np.sqrt(2.0))


def test_readings_are_ranked_and_never_tell_less_than_nothing() -> None:
    ranked = rank_readings(_fit(), SETUP, HEAVIER)
    left = [one.share_left for one in ranked]
    assert left == sorted(left)
    assert all(0.0 < share <= 1.0 for share in left)
    assert all(one.bits > 0.0 for one in ranked)
    names = " ".join(one.name for one in ranked)
    for reading in ("coast-out", "gate", "spin-down", "10 g heavier"):
        assert reading in names


def test_a_planned_reading_tells_what_it_then_does() -> None:
    """Runs some 10 g heavier leave about the variance that was expected, once they are made."""
    rng = np.random.default_rng(9)
    track = _fit().evidence.track
    few = evidence(track, TRUTH, make_runs(track, TRUTH, 12, rng))
    before = fit(few, rng)
    ranked = rank_readings(before, SETUP, TRIMMED)
    wanted = next(one for one in ranked if one.name.startswith("3 runs 10 g"))
    more = (*few.runs, *make_runs(track, replace(TRUTH, bad_rate=0.0), 3, rng, (47.0,)))
    after = fit(replace(few, runs=more), rng)
    spreads = []
    for fitted in (before, after):
        forecast = forecast_changes(fitted, SETUP, [TRIMMED], Aim())[0]
        spreads.append((forecast.gain_high_s or 0.0) - (forecast.gain_low_s or 0.0))
    assert (spreads[1] / spreads[0]) ** 2 == pytest.approx(wanted.share_left, abs=0.3)


def test_usual_changes_and_pairs() -> None:
    changes = suggest_changes(_fit().evidence, SETUP, 57.0, 0.05)
    names = [change.name for change in changes]
    assert names[0] == "add weight up to 56.95 g"
    assert "straighten the axles" in names
    assert not any("dry" in name for name in names)  # nobody goes back to that
    pairs = pairs_of(changes)
    assert len(pairs) == MOST_PAIRS
    assert {pair.parts for pair in pairs} == {2}
    full = Setup("Mustard", "graphite", replace(CAR, mass_g=56.95))
    assert not any(
        "weight" in one.name for one in suggest_changes(_fit().evidence, full, 57.0, 0.05)
    )


def _kept(count: int, error: float) -> list[KeptForecast]:
    return [KeptForecast(0.05, 0.02, 0.08, 0.05 + error, 0.01) for _ in range(count)]


def test_scoreboard_counts_what_held() -> None:
    board = score_forecasts([*_kept(9, 0.0), *_kept(1, 0.2)])
    assert (board.count, board.held) == (10, 9)
    # Clopper-Pearson for 9 of 10 at 90 %: 0.606 to 0.995 (tables; from memory).
    assert (board.share_low, board.share_high) == pytest.approx((0.606, 0.995), abs=0.001)
    assert board.mean_error_s == pytest.approx(0.02)


def test_scoreboard_says_when_forecasts_are_too_sure_or_too_few() -> None:
    assert "surer" in score_forecasts(_kept(10, 0.3)).sentence
    assert "too few" in score_forecasts(_kept(2, 0.0)).sentence
    assert "No forecast" in score_forecasts([]).sentence
