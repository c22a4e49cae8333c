"""In which order to run."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.errors import InvalidInput
from hillbench.timing.run_order import next_turn, run_order

ORDERS = {2: "ABBA", 3: "ABBABA", 4: "ABBABAAB", 5: "ABBABABAAB", 6: "ABBABABAABAB"}
"""As published with the measured choice of orders in the theory page."""


@pytest.mark.parametrize("runs", ORDERS)
def test_orders_of_two(runs: int) -> None:
    assert "".join(turn.car for turn in run_order("AB", runs)) == ORDERS[runs]


@given(st.integers(2, 40))
def test_a_steady_drift_cancels(runs: int) -> None:
    turns = run_order("AB", runs)
    places = {car: [turn.number for turn in turns if turn.car == car] for car in "AB"}
    assert len(places["A"]) == len(places["B"]) == runs
    apart = abs(sum(places["A"]) - sum(places["B"]))
    assert apart == runs % 2


@given(st.integers(2, 9), st.integers(1, 6), st.integers(1, 4), st.booleans())
def test_each_car_runs_as_often(cars: int, runs: int, lanes: int, together: bool) -> None:
    names = [f"C{car}" for car in range(cars)]
    turns = run_order(names, runs, lanes=lanes, together=together)
    assert all(sum(turn.car == name for turn in turns) == runs for name in names)
    assert len({(turn.number, turn.lane) for turn in turns}) == len(turns)
    assert all(1 <= turn.lane <= lanes for turn in turns)


@given(st.integers(2, 5), st.integers(1, 3), st.booleans())
def test_each_car_takes_every_lane_as_often(lanes: int, rounds: int, together: bool) -> None:
    turns = run_order("AB", lanes * rounds, lanes=lanes, together=together)
    for car in "AB":
        used = [turn.lane for turn in turns if turn.car == car]
        assert {used.count(lane) for lane in range(1, lanes + 1)} == {rounds}


def test_many_cars_have_the_same_mean_place() -> None:
    turns = run_order("ABCDE", 4)
    sums = {sum(turn.number for turn in turns if turn.car == car) for car in "ABCDE"}
    assert len(sums) == 1


def test_whose_turn_it_is() -> None:
    turns = run_order("AB", 2)
    assert [getattr(next_turn(turns, done), "car", None) for done in range(5)] == [*"ABBA", None]


@pytest.mark.parametrize(
    ("cars", "runs", "lanes"),
    [("", 4, 1), ("AA", 4, 1), ("AB", 0, 1), ("AB", 101, 1), ("AB", 4, 0)],
)
def test_counts_that_are_not_allowed(cars: str, runs: int, lanes: int) -> None:
    with pytest.raises(InvalidInput):
        run_order(cars, runs, lanes=lanes)
