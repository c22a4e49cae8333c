"""Eliminations, rounds of pairs and matches of several races."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.errors import InvalidInput
from hillbench.racing.counts import count_lanes
from hillbench.racing.ladder import build_ladder, champion, next_matches, seed_order
from hillbench.racing.pairs import draw_pairs, lanes_for, winner_of
from hillbench.racing.qualifying import two_run_heats


@given(st.integers(2, 70), st.integers(1, 2), st.integers(0, 1000))
def test_a_car_is_out_after_its_last_life_and_the_last_one_wins(
    cars: int, lives: int, seed: int
) -> None:
    ladder, dice = build_ladder(cars, lives), random.Random(seed)
    won: dict[int, int] = {}
    lost: Counter[int] = Counter()
    while ready := next_matches(ladder, won):
        match, first, second = dice.choice(ready)
        assert first != second
        assert max(lost[first], lost[second]) < lives
        winner = dice.choice([first, second])
        won[match.number] = winner
        lost[first + second - winner] += 1
    best = champion(ladder, won)
    assert best is not None
    assert lost[best] < lives
    assert all(lost[seed] == lives for seed in range(1, cars + 1) if seed != best)


@pytest.mark.parametrize("places", [2, 4, 8, 16, 32])
def test_the_best_seeds_meet_last(places: int) -> None:
    order = seed_order(places)
    assert sorted(order) == list(range(1, places + 1))
    size = 2
    while size <= places:
        best = places // size
        for start in range(0, places, size):
            assert sum(seed <= best for seed in order[start : start + size]) == 1
        size *= 2


def test_nobody_has_won_before_the_end() -> None:
    assert champion(build_ladder(4, 2), {}) is None


@pytest.mark.parametrize(("cars", "lives"), [(1, 1), (8, 0), (8, 3), (300, 1)])
def test_ladders_that_cannot_be(cars: int, lives: int) -> None:
    with pytest.raises(InvalidInput):
        build_ladder(cars, lives)


@given(st.integers(2, 60))
def test_pairs_change_lanes(cars: int) -> None:
    rounds = draw_pairs(cars)
    for heats in rounds:
        running = [car for heat in heats for car in heat]
        assert len(set(running)) == len(running) == cars - cars % 2
    counts = count_lanes([heat for heats in rounds for heat in heats], cars, 2)
    assert abs(counts[:, 0] - counts[:, 1]).max() <= 1


@pytest.mark.parametrize(
    ("races", "best_of", "winner"),
    [([], 3, None), ([1, 2], 3, None), ([1, 1], 3, 1), ([1, 2, 2], 3, 2), ([4], 1, 4)],
)
def test_the_best_of_several_races(races: list[int], best_of: int, winner: int | None) -> None:
    assert winner_of(races, best_of) == winner


def test_an_even_number_of_races_decides_nothing() -> None:
    with pytest.raises(ValueError, match="odd"):
        winner_of([1], 2)
    assert [lanes_for(5, 6, race) for race in range(3)] == [(5, 6), (6, 5), (5, 6)]


@given(st.integers(1, 200), st.integers(1, 8))
def test_two_runs_for_everyone(cars: int, lanes: int) -> None:
    heats = two_run_heats(cars, lanes)
    assert len(heats) == 2 * -(-cars // lanes)
    runs = Counter(car for heat in heats for car in heat if car)
    assert runs == dict.fromkeys(range(1, cars + 1), 2)
    assert all(len(heat) == lanes for heat in heats)
