"""Schedules by annealing: for the sizes that base blocks do not serve, and to go on with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from hillbench.racing.counts import least_squares_of_meetings
from hillbench.racing.peeling import lanes_of

Ints = npt.NDArray[np.int32]

_MOVES_A_HEAT: Final = 20_000
_MOST_MOVES: Final = 2_000_000
_HOT: Final = 3.0
_COLD: Final = 0.15
_REST_WEIGHTS: Final = (8.0, 30.0, 120.0, 12.0)


@dataclass(frozen=True, slots=True)
class Start:
    """Where annealing starts from.

    Attributes
    ----------
    table
        Cars by heat and lane, numbered from 0; the number after the last is an empty place.
    cars
        Number of cars.
    starts
        First heat of each round and, last, the number of heats.
    met
        How often each pair has met before.
    just_ran
        Cars of the heat just run, or that should not run next.
    """

    table: Ints
    cars: int
    starts: tuple[int, ...]
    met: npt.NDArray[np.int64]
    just_ran: tuple[int, ...] = ()


def annealed_table(
    cars: int, lanes: int, rounds: int, rng: np.random.Generator, *, rest_first: bool
) -> Ints:
    """Return cars by heat and lane, each car as often on each lane, pairs nearly even.

    Parameters
    ----------
    cars, lanes, rounds
        More cars than lanes; cars are numbered from 0.
    rng
        Source of randomness.
    rest_first
        Whether rest goes before equal meetings.
    """
    apart = [step for step in range(lanes, cars - lanes + 1) if np.gcd(step, cars) == 1]
    turns = np.arange(cars) * (apart or [1])[0] % cars
    one = (turns[:, None] + np.arange(lanes)) % cars
    starts = tuple(cars * number for number in range(rounds + 1))
    start = Start(
        np.tile(one, (rounds, 1)).astype(np.int32), cars, starts, np.zeros((cars, cars), np.int64)
    )
    weights = _REST_WEIGHTS if rest_first else (0.0,) * 8
    blocks = anneal_heats(start, rng, rest_weights=weights)
    if not rest_first:
        blocks = _rested(blocks, start, rng)
    return lanes_of(blocks, cars)


def anneal_heats(
    start: Start,
    rng: np.random.Generator,
    *,
    rest_weights: tuple[float, ...] = _REST_WEIGHTS,
    same_lane: bool = False,
) -> Ints:
    """Return the best of several annealings: fewest cars twice running, then even meetings.

    Parameters
    ----------
    start
        Where each annealing starts from.
    rng
        Source of randomness.
    rest_weights
        What a car in two heats running costs against squared meetings, for each annealing;
        the first that reaches the bound is taken.
    same_lane
        Whether cars swap only within a lane, which keeps what each car has on each lane.
    """
    from hillbench.racing.anneal_kernel import anneal

    goal = _least_cost(start)
    moves = min(_MOVES_A_HEAT * len(start.table), _MOST_MOVES)
    bounds = np.array(start.starts, dtype=np.int32)
    best = start.table
    best_rank = _rank(*_state(start), any(rest_weights))
    for weight in rest_weights:
        table = start.table.copy()
        inside, meet = _state(start)
        cost = _squares(meet) + weight * _twice_running(inside)
        seed = int(rng.integers(2**31))
        anneal(table, inside, meet, bounds, moves, _HOT, _COLD, weight, same_lane, goal, cost, seed)
        rank = _rank(inside, meet, weight > 0.0)
        if rank < best_rank:
            best, best_rank = table, rank
        if best_rank[0] == 0.0 and best_rank[2] <= goal:
            break
    return best


def _state(start: Start) -> tuple[Ints, Ints]:
    """Return presence by heat, a row more on both sides, and meetings; last is the empty car."""
    cars = start.cars
    inside = np.zeros((len(start.table) + 2, cars + 1), dtype=np.int32)
    inside[0, list(start.just_ran)] = 1
    for heat, row in enumerate(start.table):
        np.add.at(inside[heat + 1], row, 1)
    met = inside[1:-1].T @ inside[1:-1]
    met[:cars, :cars] += start.met.astype(np.int32)
    np.fill_diagonal(met, 0)
    return inside, met.astype(np.int32)


def _rank(inside: Ints, meet: Ints, rest_counts: bool) -> tuple[float, float, float]:
    """Return what is judged, in this order: cars twice running, spread and squares of meetings."""
    cars = len(meet) - 1
    pairs = meet[np.triu_indices(cars, 1)] if cars > 1 else np.zeros(1, dtype=np.int32)
    twice = _twice_running(inside) if rest_counts else 0.0
    return twice, float(pairs.max() - pairs.min()), _squares(meet)


def _squares(meet: Ints) -> float:
    return float((meet[:-1, :-1].astype(np.int64) ** 2).sum()) / 2.0


def _twice_running(inside: Ints) -> float:
    return float((inside[1:, :-1] * inside[:-1, :-1]).sum())


def _least_cost(start: Start) -> float:
    """Return a bound of the cost: meetings as even as their sum allows, all cars rested."""
    pairs = start.cars * (start.cars - 1) // 2
    if pairs == 0:
        return 0.0
    _, meet = _state(start)
    return float(least_squares_of_meetings(int(meet[:-1, :-1].sum()) // 2, pairs))


def _rested(blocks: Ints, start: Start, rng: np.random.Generator) -> Ints:
    """Return the heats of each round in an order in which fewer cars run twice running."""
    from hillbench.racing.anneal_kernel import anneal_order

    present = np.zeros((len(blocks), start.cars + 1), dtype=np.int32)
    np.put_along_axis(present, blocks.astype(np.int64), 1, axis=1)
    # The last column carries the number of the heat along; it is no car to the kernel.
    order = np.ascontiguousarray(present[:, :-1])
    bounds = np.array(start.starts, dtype=np.int32)
    anneal_order(order, bounds, 60 * len(blocks) * 20, 2.0, 0.1, int(rng.integers(2**31)))
    return np.array([np.flatnonzero(row) for row in order], dtype=np.int32)
