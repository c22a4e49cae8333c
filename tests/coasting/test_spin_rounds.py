"""Rounds of work on a bearing: what one test shares with another drops out of their ratio."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.coasting.spin_rounds import (
    RoundVerdict,
    Scatter,
    WheelPair,
    judge_car,
    judge_round,
    pool_scatter,
)
from hillbench.coasting.spin_series import (
    FLICK,
    SpinSeries,
    SpinSet,
    StartSource,
    loaded_mean,
    read_spins,
)
from hillbench.errors import InvalidInput
from hillbench.uncertainty import Estimate

WHEEL = (Estimate(0.5, 0.05), Estimate(10.5, 0.05), Estimate(1.0, 0.02))


def series(*log_frictions: float, own: float = 0.0, start: str = "measured") -> SpinSeries:
    return SpinSeries(log_frictions, own, 0.1, 0.05, StartSource(start))


def test_start_speed_from_the_turns_is_that_of_an_even_slowing() -> None:
    # θ = ω₀ t/2, so 20 turns in 5 s began with 8 turns a second.
    counted = read_spins(SpinSet(*WHEEL, (5.0,), turns=(20.0,)))
    measured = read_spins(SpinSet(*WHEEL, (5.0,), (8.0,)))
    assert counted.start is StartSource.COUNTED
    assert counted.log_frictions == pytest.approx(measured.log_frictions)


def test_without_start_speed_a_flick_is_assumed_and_said_to_be_known_badly() -> None:
    assumed = read_spins(SpinSet(*WHEEL, (5.0, 5.2)))
    measured = read_spins(SpinSet(*WHEEL, (5.0, 5.2), (FLICK.value,)))
    assert assumed.log_frictions == pytest.approx(measured.log_frictions)
    whole = assumed.friction(0.08)
    assert whole.standard_uncertainty / whole.value > 0.35
    assert measured.friction(0.08).standard_uncertainty / measured.friction(0.08).value < 0.15


def test_viscous_part_is_told_only_with_speed_and_turns() -> None:
    both = read_spins(SpinSet(*WHEEL, (5.0,), (8.0,), turns=(15.0,)))
    assert both.viscous_share is not None
    assert 0.2 < both.viscous_share < 0.8
    assert read_spins(SpinSet(*WHEEL, (5.0,), turns=(15.0,))).viscous_share is None


@pytest.mark.parametrize(
    ("spins", "place"),
    [
        (SpinSet(*WHEEL, ()), "stop_times_s"),
        (SpinSet(*WHEEL, (5.0, 5.1, 5.2), (8.0, 8.1)), "start_turns_per_s"),
        (SpinSet(*WHEEL, (5.0, 5.1), turns=(20.0,)), "turns"),
        (SpinSet(*WHEEL, (5.0,), (8.0,), 9.0), "start_uncertainty_turns_per_s"),
        (SpinSet(*WHEEL, (5.0,), (8.0,), turns=(39.0,)), "spin_down.turns"),
        (SpinSet(*WHEEL, (-5.0,), (8.0,)), "spin_down.stop_time_s"),
    ],
)
def test_spins_that_cannot_be_are_refused(spins: SpinSet, place: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        read_spins(spins)
    assert place in {problem.where for problem in caught.value.problems}


def test_a_clear_gain_no_gain_and_a_loss_are_told_apart() -> None:
    scatter = Scatter(0.03, 20.0)
    before = series(*[math.log(0.25)] * 5)
    for friction, verdict in (
        (0.15, RoundVerdict.GAINED),
        (0.252, RoundVerdict.STOP),
        (0.2450, RoundVerdict.STOP),  # measured perhaps, but too little to matter
        (0.31, RoundVerdict.WORSE),
    ):
        change = judge_round(before, series(*[math.log(friction)] * 5), scatter, 0.05)
        assert change.verdict is verdict, friction
        assert change.ratio == pytest.approx(friction / 0.25)
        assert change.spins_still_needed == 0


def test_rough_spins_ask_for_more_instead_of_stopping() -> None:
    scatter = Scatter(0.25, 20.0)
    change = judge_round(series(*[0.0] * 10), series(-0.16, -0.16), scatter, 0.05)
    assert change.verdict is RoundVerdict.UNSURE
    needed = change.spins_still_needed
    assert needed is not None
    assert needed > 0
    enough = judge_round(series(*[0.0] * 10), series(*[-0.16] * (2 + needed)), scatter, 0.05)
    fewer = judge_round(series(*[0.0] * 10), series(*[-0.16] * (1 + needed)), scatter, 0.05)
    assert enough.verdict is not RoundVerdict.UNSURE
    assert fewer.verdict is RoundVerdict.UNSURE
    # One spin before leaves its own scatter for ever.
    assert judge_round(series(0.0), series(-0.1), scatter, 0.05).spins_still_needed is None


@given(st.floats(0.2, 5.0), st.floats(0.0, 1.0))
def test_what_both_tests_share_drops_out(factor: float, shape: float) -> None:
    scatter = Scatter(0.05, 12.0)
    values = (-1.4, -1.5, -1.45), (-1.6, -1.7)
    moved = [tuple(value + math.log(factor) for value in one) for one in values]
    plain = judge_round(series(*values[0]), series(*values[1]), scatter, 0.05)
    shifted = judge_round(
        SpinSeries(moved[0], 0.0, shape, 0.3, StartSource.MEASURED),
        SpinSeries(moved[1], 0.0, shape, 0.3, StartSource.MEASURED),
        scatter,
        0.05,
    )
    assert shifted.ratio_low == pytest.approx(plain.ratio_low)
    assert shifted.probability_matters == pytest.approx(plain.probability_matters)


def test_speeds_taken_in_different_ways_share_nothing() -> None:
    scatter = Scatter(0.02, 30.0)
    same = judge_round(series(-1.4, -1.4), series(-1.7, -1.7), scatter, 0.05)
    other = judge_round(series(-1.4, -1.4), series(-1.7, -1.7, start="assumed"), scatter, 0.05)
    assert same.verdict is RoundVerdict.GAINED
    assert other.ratio_high - other.ratio_low > 2.0 * (same.ratio_high - same.ratio_low)


def test_stop_is_said_where_nothing_was_gained_and_seldom_where_much_was() -> None:
    """Simulated rounds of five spins each, with the scatter that is usual."""
    rng = np.random.default_rng(7)
    stops, held = {0.0: 0, 0.25: 0}, 0
    for gain in stops:
        for _ in range(300):
            seats = rng.normal(0.0, 0.03, 2)
            before = rng.normal(seats[0], 0.08, 5).tolist()
            after = rng.normal(math.log1p(-gain) + seats[1], 0.08, 5).tolist()
            scatter = pool_scatter([before, after])
            tests = series(*before, own=0.03), series(*after, own=0.03)
            change = judge_round(*tests, scatter, 0.05)
            held += change.ratio_low <= 1.0 - gain <= change.ratio_high
            stops[gain] += change.verdict in {RoundVerdict.STOP, RoundVerdict.WORSE}
    assert stops[0.0] / 300 > 0.65
    assert stops[0.25] / 300 < 0.01
    assert 0.86 < held / 600 < 0.94


def test_mean_of_the_car_is_weighted_with_the_load() -> None:
    shares = {"front left": 0.2, "front right": 0.2, "rear left": 0.3, "rear right": 0.3}
    frictions = {"front left": 0.1, "front right": 0.2, "rear left": 0.3, "rear right": 0.2}
    logs = {name: math.log(value) for name, value in frictions.items()}
    whole = loaded_mean(logs, shares)
    assert math.exp(whole.value) == pytest.approx(0.2 * 0.1 + 0.2 * 0.2 + 0.3 * 0.3 + 0.3 * 0.2)
    assert whole.standard_uncertainty == 0.0
    half = loaded_mean({"rear left": math.log(0.3)}, shares)
    assert math.exp(half.value) == pytest.approx(0.3)
    assert half.standard_uncertainty == pytest.approx(0.15 * math.hypot(0.2, 0.2, 0.3))


def test_scatter_needs_two_spins_or_a_belief() -> None:
    with pytest.raises(ValueError, match="alone"):
        pool_scatter([[0.1]], usual_freedom=0.0)
    assert pool_scatter([[0.1]]).spread == pytest.approx(0.08)


def test_four_wheels_tell_twice_as_well_as_one() -> None:
    scatter = Scatter(0.08, 40.0)
    before, after = series(-1.4, -1.4, own=0.03), series(-1.5, -1.5, own=0.03)
    one = judge_round(before, after, scatter, 0.05)
    four = judge_car([WheelPair(0.25, before, after)] * 4, scatter, 0.05)
    assert four.ratio == pytest.approx(one.ratio)
    reach = [math.log(change.ratio_high / change.ratio) for change in (one, four)]
    assert reach[0] / reach[1] == pytest.approx(2.0, rel=0.03)
    # A flick that is off is off on every wheel.
    assumed = series(-1.5, -1.5, own=0.03, start="assumed")
    shared = judge_car([WheelPair(0.25, before, assumed)] * 4, scatter, 0.05)
    single = judge_round(before, assumed, scatter, 0.05)
    assert shared.ratio_high / single.ratio_high > 0.9
