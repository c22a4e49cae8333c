"""The rest of a schedule made anew."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hillbench.errors import InvalidInput
from hillbench.racing.counts import Heat, count_lanes
from hillbench.racing.rebuild import rebuild
from hillbench.racing.schedule import draw_schedule

HEATS = draw_schedule(12, 4, 2, rng=np.random.default_rng(4)).heats
EVERYONE = range(1, 13)


def rest_of(run: tuple[Heat, ...], cars: range | set[int], **options: object) -> tuple[Heat, ...]:
    return rebuild(run, cars, 4, 2, rng=np.random.default_rng(1), **options)  # type: ignore[arg-type]


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 24), st.sets(st.integers(1, 14), min_size=1))
def test_everyone_who_goes_on_comes_to_all_lanes(done: int, cars: set[int]) -> None:
    run = HEATS[:done]
    rest = rest_of(run, cars)
    counts = count_lanes((*run, *rest), 14, 4)
    assert (counts[[car - 1 for car in cars]] == 2).all()
    assert {car for heat in rest for car in heat} <= cars | {0}
    for heat in rest:
        running = [car for car in heat if car]
        assert len(set(running)) == len(running) > 0


def test_a_late_entry_runs_everything_and_a_withdrawn_car_nothing_more() -> None:
    run = HEATS[:6]
    rest = rest_of(run, {*EVERYONE, 13} - {5})
    assert not any(5 in heat for heat in rest)
    assert sum(13 in heat for heat in rest) == 8
    all_heats = (*run, *rest)
    twice = sum(len((set(a) & set(b)) - {0}) for a, b in pairwise(all_heats))
    assert twice <= sum(len((set(a) & set(b)) - {0}) for a, b in pairwise(HEATS)) + len(rest)


def test_a_lane_out_of_order_stays_empty_and_the_others_come_out_even() -> None:
    run = HEATS[:9]
    rest = rest_of(run, EVERYONE, closed_lanes=[2])
    assert all(heat[1] == 0 for heat in rest)
    counts = count_lanes((*run, *rest), 12, 4)
    assert (counts[:, [0, 2, 3]] == 2).all()
    assert (counts[:, 1] == count_lanes(run, 12, 4)[:, 1]).all()


def test_an_absent_car_gets_its_run_later() -> None:
    missed = HEATS[5]
    away = missed[0]
    run = (*HEATS[:5], tuple(0 if car == away else car for car in missed))
    rest = rest_of(run, EVERYONE, absent=[away])
    assert away not in rest[0]
    assert (count_lanes((*run, *rest), 12, 4) == 2).all()


def test_nothing_is_left_after_the_last_heat() -> None:
    assert rest_of(HEATS, EVERYONE) == ()


@pytest.mark.parametrize(
    ("run", "cars", "options", "words"),
    [
        (((1, 1, 2, 3),), EVERYONE, {}, "heat 1"),
        (((1, 2, 3),), EVERYONE, {}, "heat 1"),
        ((), {0, 1}, {}, "cars"),
        ((), EVERYONE, {"closed_lanes": [5]}, "closed lanes"),
        ((), EVERYONE, {"closed_lanes": [1, 2, 3, 4]}, "closed lanes"),
    ],
)
def test_what_cannot_be_is_refused(
    run: tuple[Heat, ...], cars: set[int], options: dict[str, object], words: str
) -> None:
    with pytest.raises(InvalidInput, match=words):
        rest_of(run, cars, **options)
