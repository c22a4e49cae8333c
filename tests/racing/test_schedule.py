"""Heats for any number of cars and lanes."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hillbench.errors import InvalidInput
from hillbench.racing.counts import PairMeetings, meetings_of
from hillbench.racing.peeling import heats_of, peel
from hillbench.racing.proof import bound_is_impossible, is_proven_best
from hillbench.racing.schedule import Schedule, draw_schedule

SAMPLE = [(4, 3, 2), (5, 2, 3), (9, 4, 1), (10, 4, 2), (14, 6, 1), (20, 5, 1), (25, 6, 1)]
SAMPLE += [(12, 4, 3), (16, 4, 1), (40, 4, 1), (40, 6, 3)]


def draw(cars: int, lanes: int, rounds: int = 1, **options: bool) -> Schedule:
    return draw_schedule(cars, lanes, rounds, rng=np.random.default_rng(0), **options)


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 24), st.integers(1, 8), st.integers(1, 2), st.booleans())
def test_every_car_runs_equally_often_on_every_lane(
    cars: int, lanes: int, rounds: int, meet_equally: bool
) -> None:
    schedule = draw(cars, lanes, rounds, meet_equally=meet_equally)
    seen = Counter((car, lane) for heat in schedule.heats for lane, car in enumerate(heat) if car)
    assert seen == {(car, lane): rounds for car in range(1, cars + 1) for lane in range(lanes)}
    assert len(schedule.heats) == rounds * max(cars, lanes)
    for heat in schedule.heats:
        running = [car for car in heat if car]
        assert len(set(running)) == len(running) == min(cars, lanes)


@pytest.mark.parametrize("size", SAMPLE)
@pytest.mark.parametrize("meet_equally", [False, True])
def test_the_aims_in_their_order(size: tuple[int, int, int], meet_equally: bool) -> None:
    cars, lanes, _ = size
    schedule = draw(*size, meet_equally=meet_equally)
    met = schedule.meetings
    assert met == meetings_of(schedule.heats, cars)
    assert met.bound_most - met.bound_least <= 1
    assert met.least <= met.bound_least <= met.bound_most <= met.most
    if meet_equally:
        expected = met.at_bound or bound_is_impossible(cars, lanes)
        assert expected
    elif cars >= 2 * lanes + 1:
        twice = [set(a) & set(b) for a, b in zip(schedule.heats, schedule.heats[1:], strict=False)]
        assert not any(twice)
        assert schedule.back_to_back == 0


@pytest.mark.parametrize(("cars", "lanes"), [(200, 8), (199, 8), (200, 1)])
def test_large_meets(cars: int, lanes: int) -> None:
    schedule = draw(cars, lanes)
    assert schedule.exact
    assert schedule.back_to_back == 0
    assert schedule.meetings.most <= 1


def test_the_same_seed_draws_the_same_heats() -> None:
    assert draw(13, 5) == draw(13, 5)
    other = draw_schedule(13, 5, rng=np.random.default_rng(1))
    assert other.heats != draw(13, 5).heats


@pytest.mark.parametrize("size", [(0, 4, 1), (201, 4, 1), (8, 0, 1), (8, 9, 1), (8, 4, 0)])
def test_sizes_that_are_not_allowed(size: tuple[int, int, int]) -> None:
    with pytest.raises(InvalidInput, match="allowed is 1 to"):
        draw(*size)


def test_equal_meetings_cost_rest() -> None:
    """Any two heats of the Fano plane share a car, so rest forbids it."""
    equal, rested = draw(7, 3, meet_equally=True), draw(7, 3)
    assert (equal.meetings.least, equal.meetings.most, equal.back_to_back) == (1, 1, 6)
    assert (rested.back_to_back, rested.meetings.most - rested.meetings.least) == (0, 2)
    assert equal.exact
    assert rested.exact


def test_a_spread_of_two_is_proven_only_with_a_reason() -> None:
    wide = PairMeetings(0, 2, 1, 2)
    assert is_proven_best(wide, 20, 5, 1, rest_first=False)
    assert not is_proven_best(wide, 14, 5, 1, rest_first=False)
    assert not is_proven_best(wide, 20, 5, 2, rest_first=False)
    assert not is_proven_best(PairMeetings(0, 3, 1, 2), 20, 5, 1, rest_first=False)


@settings(deadline=None)
@given(st.lists(st.permutations(range(5)), min_size=1, max_size=6))
def test_matchings_add_up_to_their_graph(permutations: list[list[int]]) -> None:
    edges = np.zeros((5, 5), dtype=np.int64)
    for permutation in permutations:
        edges[np.arange(5), permutation] += 1
    back = np.zeros_like(edges)
    for matching in peel(edges, len(permutations)):
        assert sorted(matching) == list(range(5))
        back[np.arange(5), matching] += 1
    assert (back == edges).all()


def test_a_graph_that_is_not_regular_is_refused() -> None:
    with pytest.raises(ValueError, match="sum"):
        peel(np.array([[2, 0], [1, 1]]), 2)


@settings(deadline=None)
@given(st.lists(st.lists(st.integers(0, 3), min_size=3, max_size=3), min_size=1, max_size=9))
def test_needs_take_the_fewest_heats(rows: list[list[int]]) -> None:
    need = np.array(rows, dtype=np.int64)
    heats = heats_of(need)
    assert len(heats) == max(need.sum(axis=0).max(), need.sum(axis=1).max())
    given_ = np.zeros_like(need)
    for heat in heats:
        running = heat[heat < len(need)]
        assert len(set(running)) == len(running)
        for lane in np.flatnonzero(heat < len(need)):
            given_[heat[lane], lane] += 1
    assert (given_ == need).all()
