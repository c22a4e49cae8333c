"""Rankings by times, by places and by rule."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
import numpy.typing as npt
import pytest

from hillbench.errors import InvalidInput
from hillbench.racing.counts import Heat
from hillbench.racing.official import OfficialPlace, Rule, Score, TieBreak, rank_by_rule
from hillbench.racing.places import Order, rank_by_place
from hillbench.racing.qualifying import finalists
from hillbench.racing.schedule import draw_schedule
from hillbench.racing.timed_result import HeatTime, TimedResult, rank_by_time

LANES_S = (0.0, 0.0, 0.06, 0.0)


@cache
def heats_of(cars: int) -> tuple[Heat, ...]:
    return draw_schedule(cars, 4, rng=np.random.default_rng(2)).heats


def meet(
    cars_s: Sequence[float] | npt.NDArray[np.float64],
    seed: int,
    *,
    bad: float = 0.0,
    lanes_s: Sequence[float] = LANES_S,
) -> list[HeatTime]:
    """Return one round on four lanes, the third of which is slow."""
    rng = np.random.default_rng(seed)
    heats = heats_of(len(cars_s))
    rows = []
    for number, heat in enumerate(heats, start=1):
        same_s = rng.normal(0.0, 0.02)
        for lane, car in enumerate(heat, start=1):
            time_s = 10.5 + cars_s[car - 1] + lanes_s[lane - 1] + same_s + rng.normal(0.0, 0.05)
            time_s += rng.exponential(0.3) * (rng.random() < bad)
            rows.append(HeatTime(number, lane, car, float(time_s)))
    return rows


def ranked(rows: Sequence[HeatTime]) -> TimedResult:
    return rank_by_time(rows, rng=np.random.default_rng(5))


def test_lanes_and_clear_gaps_are_found() -> None:
    result = ranked(meet(np.linspace(0.0, 1.0, 11), 1))
    assert [one.car for one in result.standings] == list(range(1, 12))
    assert sum(one.fastest_probability for one in result.standings) == pytest.approx(1.0)
    slow = result.lanes[2]
    assert slow.differs
    assert abs(slow.slower_s - 0.06 * 0.75) < 2.0 * (slow.high_s - slow.low_s) / 2.0
    assert sum(lane.slower_s for lane in result.lanes) == pytest.approx(0.0, abs=1e-9)


def test_odds_are_kept_over_many_meets() -> None:
    """Of meets in which the first has the odds p, it is the fastest in a share p."""
    rng = np.random.default_rng(8)
    claimed, right, inside = [], [], []
    for seed in range(60):
        cars_s = rng.normal(0.0, 0.1, 13)
        result = ranked(meet(cars_s, seed, bad=0.05))
        first = result.standings[0]
        claimed.append(first.fastest_probability)
        right.append(cars_s[first.car - 1] == cars_s.min())
        true_s = np.array(LANES_S) - np.mean(LANES_S)
        inside += [
            lane.low_s < true < lane.high_s for lane, true in zip(result.lanes, true_s, strict=True)
        ]
    assert np.mean(right) == pytest.approx(np.mean(claimed), abs=3 * 0.45 / np.sqrt(60))
    assert np.mean(inside) == pytest.approx(0.90, abs=0.07)


def test_one_bad_run_does_not_cost_the_place() -> None:
    rows = meet([0.0, 0.2, 0.4, 0.6, 0.8], 3)
    at = next(place for place, row in enumerate(rows) if row.car == 1)
    spoilt = [*rows]
    spoilt[at] = HeatTime(rows[at].heat, rows[at].lane, 1, (rows[at].time_s or 0.0) + 3.0)
    result = ranked(spoilt)
    assert result.standings[0].car == 1
    assert at in result.odd_runs


def test_a_void_row_counts_for_nothing_and_a_car_without_a_time_is_last() -> None:
    rows = meet([0.0, 0.2, 0.4, 0.6], 3)
    more = [*rows, HeatTime(99, 1, 4, 1.0, void=True), HeatTime(98, 1, 7, None)]
    result, plain = ranked(more), ranked(rows)
    assert result.standings[:4] == plain.standings
    last = result.standings[-1]
    assert (last.car, last.typical_time_s, last.no_finishes, last.fastest_probability) == (
        7,
        None,
        1,
        0.0,
    )
    assert finalists(result, 9) == (1, 2, 3, 4)


def test_the_order_of_rows_and_the_numbers_of_heats_do_not_matter() -> None:
    rows = meet([0.0, 0.1, 0.2, 0.3, 0.4, 0.5], 6)
    other = [HeatTime(row.heat + 50, row.lane, row.car, row.time_s) for row in rows[::-1]]
    for one, two in zip(ranked(rows).standings, ranked(other).standings, strict=True):
        assert one.car == two.car
        assert one.typical_time_s == pytest.approx(two.typical_time_s, abs=1e-5)


def test_equal_times_and_a_single_lane_have_an_answer() -> None:
    rows = [HeatTime(heat, 1, 1 + heat % 3, 9.5) for heat in range(9)]
    result = ranked(rows)
    assert result.lanes == ()
    assert all(
        one.fastest_probability == pytest.approx(1 / 3, abs=0.05) for one in result.standings
    )


@pytest.mark.parametrize(
    "rows",
    [
        [],
        [HeatTime(1, 1, 1, 9.0), HeatTime(2, 1, 1, 9.0), HeatTime(3, 1, 1, 9.0)],
        [HeatTime(1, 1, 1, 9.0), HeatTime(1, 2, 2, -1.0), HeatTime(2, 1, 2, 9.0)],
    ],
)
def test_what_says_nothing_is_refused(rows: list[HeatTime]) -> None:
    with pytest.raises(InvalidInput):
        ranked(rows)


def test_a_winner_of_everything_needs_a_prior() -> None:
    orders = [Order((1, 2, 3))] * 4
    with pytest.raises(InvalidInput, match="prior"):
        rank_by_place(orders, rng=np.random.default_rng(1), ability_sd=None)
    result = rank_by_place(orders, rng=np.random.default_rng(1))
    assert result.ranking() == (1, 2, 3)
    assert result.ability.sum() == pytest.approx(0.0, abs=1e-9)
    assert 0.5 < result.best_probability[0] < 1.0


def test_a_dead_heat_and_cars_that_do_not_finish() -> None:
    rng = np.random.default_rng(1)
    even = rank_by_place([Order((1, 2), weight=0.5), Order((2, 1), weight=0.5)], rng=rng)
    assert even.ability == pytest.approx([0.0, 0.0])
    out = rank_by_place([Order((1, 2, 3), finished=1)], rng=rng)
    assert out.ability[1] == pytest.approx(out.ability[2])
    assert out.ability[0] > out.ability[1]


def rows_of(times: dict[int, list[float | None]]) -> list[HeatTime]:
    """Return rows in which the n-th times of all cars make heat n."""
    return [
        HeatTime(heat, car, car, time_s)
        for car, row in times.items()
        for heat, time_s in enumerate(row, start=1)
    ]


def places(found: Sequence[OfficialPlace]) -> dict[int, int]:
    return {one.car: one.place for one in found}


RUN: dict[int, list[float | None]] = {
    1: [10.0, 10.4, 10.2],
    2: [10.1, 10.1, 10.4],
    3: [9.8, None, 10.3],
    4: [10.3, 10.2, 10.9],
}


@pytest.mark.parametrize(
    ("rule", "expected", "first_score"),
    [
        # Worked by hand from the table above.
        (Rule(Score.SUM), {1: 1, 2: 1, 4: 3, 3: 4}, 30.6),
        (Rule(Score.MEAN), {1: 1, 2: 1, 4: 3, 3: 4}, 10.2),
        (Rule(Score.DROP_WORST), {3: 1, 1: 2, 2: 2, 4: 4}, 20.1),
        (Rule(Score.BEST), {3: 1, 1: 2, 2: 3, 4: 4}, 9.8),
        (Rule(Score.POINTS), {1: 1, 2: 2, 3: 3, 4: 4}, 9.0),
    ],
)
def test_rules(rule: Rule, expected: dict[int, int], first_score: float) -> None:
    found = rank_by_rule(rows_of(RUN), Rule(rule.score, ties=()))
    assert found[0].score == pytest.approx(first_score)
    assert places(found) == expected


def test_ties_are_split_by_the_chain_in_its_order() -> None:
    found = {one.car: one for one in rank_by_rule(rows_of(RUN), Rule(Score.SUM))}
    assert (found[1].place, found[2].place) == (1, 2)
    assert found[1].split_by is found[2].split_by is TieBreak.BEST_TIME
    assert found[4].split_by is None
    met = {one.car: one for one in rank_by_rule(rows_of(RUN), Rule(ties=(TieBreak.HEAD_TO_HEAD,)))}
    # Car 1 beats car 2 in the first and the third heat.
    assert (met[1].place, met[2].place) == (1, 2)
    wins = {one.car: one for one in rank_by_rule(rows_of(RUN), Rule(ties=(TieBreak.MOST_WINS,)))}
    # Heats are won by car 3, car 2 and car 1: that splits nothing.
    assert wins[1].place == wins[2].place == 1


def test_a_missing_run_is_not_averaged_away() -> None:
    found = {one.car: one for one in rank_by_rule(rows_of(RUN), Rule(Score.MEAN))}
    assert (found[3].place, found[3].missing, found[3].score) == (4, 1, float("inf"))


@pytest.mark.parametrize("rule", [Rule(drop=-1), Rule(Score.POINTS, points=(1.0, 2.0))])
def test_rules_that_cannot_be(rule: Rule) -> None:
    with pytest.raises(InvalidInput):
        rank_by_rule(rows_of(RUN), rule)
