"""The annealing kernel: swap cars between heats until meetings and rests are even, compiled."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from numba import njit

Ints = npt.NDArray[np.int32]


@njit(cache=True)
def _swap_cost(
    table: Ints, inside: Ints, meet: Ints, i: int, p: int, j: int, q: int, rest_weight: float
) -> float:
    """Return what the cost gains when two places swap their cars; empty places cost nothing."""
    lanes = table.shape[1]
    empty = meet.shape[0] - 1
    a, b = table[i, p], table[j, q]
    gain = 0
    for lane in range(lanes):
        x, y = table[i, lane], table[j, lane]
        if lane != p and x != empty and inside[j + 1, x] == 0:
            if a != empty:
                gain += 1 - 2 * meet[a, x]
            if b != empty:
                gain += 1 + 2 * meet[b, x]
        if lane != q and y != empty and inside[i + 1, y] == 0:
            if a != empty:
                gain += 1 + 2 * meet[a, y]
            if b != empty:
                gain += 1 - 2 * meet[b, y]
    rest = 0
    # Row h + 1 of `inside` is heat h; the row before the first may hold the heat just run.
    for step in (-1, 1):
        if a != empty:
            rest -= inside[i + 1 + step, a]
            if j + step != i:
                rest += inside[j + 1 + step, a]
        if b != empty:
            rest -= inside[j + 1 + step, b]
            if i + step != j:
                rest += inside[i + 1 + step, b]
    return gain + rest_weight * rest


@njit(cache=True)
def _swap(table: Ints, inside: Ints, meet: Ints, i: int, p: int, j: int, q: int) -> None:
    a, b = table[i, p], table[j, q]
    for lane in range(table.shape[1]):
        x, y = table[i, lane], table[j, lane]
        if lane != p:
            meet[a, x] -= 1
            meet[x, a] -= 1
            meet[b, x] += 1
            meet[x, b] += 1
        if lane != q:
            meet[a, y] += 1
            meet[y, a] += 1
            meet[b, y] -= 1
            meet[y, b] -= 1
    inside[i + 1, a] -= 1
    inside[j + 1, a] += 1
    inside[j + 1, b] -= 1
    inside[i + 1, b] += 1
    table[i, p], table[j, q] = b, a


@njit(cache=True)
def anneal(
    table: Ints,
    inside: Ints,
    meet: Ints,
    starts: Ints,
    moves: int,
    hot: float,
    cold: float,
    rest_weight: float,
    same_lane: bool,
    goal: float,
    cost: float,
    seed: int,
) -> float:
    """Swap cars between heats of a round, in place, and return the cost reached.

    Parameters
    ----------
    table
        Cars by heat and lane; the number after the last car is an empty place.
    inside
        How often each car is in each heat, with one row more before and after.
    meet
        How often each pair meets, earlier heats included.
    starts
        First heat of each round and, last, the number of heats.
    moves
        Moves tried at most.
    hot, cold
        First and last temperature, in the unit of the cost.
    rest_weight
        What a car in two heats running costs, against squared meetings.
    same_lane
        Whether cars swap only within a lane, which keeps what each car has on each lane.
    goal
        Cost at which nothing better is possible.
    cost
        Cost at the start.
    seed
        Seed of the kernel's own generator.
    """
    np.random.seed(seed)  # noqa: NPY002 (compiled code knows no other generator)
    lanes = table.shape[1]
    empty = meet.shape[0] - 1
    rounds = starts.shape[0] - 1
    ratio = (cold / hot) ** (1.0 / max(moves, 1))
    temperature = hot
    for _ in range(moves):
        temperature *= ratio
        r = np.random.randint(rounds)  # noqa: NPY002 (the same)
        size = starts[r + 1] - starts[r]
        i = starts[r] + np.random.randint(size)  # noqa: NPY002 (the same)
        j = starts[r] + np.random.randint(size)  # noqa: NPY002 (the same)
        p = np.random.randint(lanes)  # noqa: NPY002 (the same)
        q = p if same_lane else np.random.randint(lanes)  # noqa: NPY002 (the same)
        a, b = table[i, p], table[j, q]
        if i == j or a == b:
            continue
        if (a != empty and inside[j + 1, a] > 0) or (b != empty and inside[i + 1, b] > 0):
            continue
        gain = _swap_cost(table, inside, meet, i, p, j, q, rest_weight)
        if gain <= 0.0 or np.random.random() < np.exp(-gain / temperature):  # noqa: NPY002 (the same)
            _swap(table, inside, meet, i, p, j, q)
            cost += gain
            if cost <= goal:
                break
    return cost


@njit(cache=True)
def anneal_order(blocks: Ints, starts: Ints, moves: int, hot: float, cold: float, seed: int) -> int:
    """Change the order of the heats of each round, in place, so that fewer cars run twice running.

    Parameters
    ----------
    blocks
        Whether each car (column) is in each heat (row).
    starts
        First heat of each round and, last, the number of heats.
    moves
        Exchanges of two heats tried at most.
    hot, cold
        First and last temperature, in cars.
    seed
        Seed of the kernel's own generator.

    Returns
    -------
    int
        What the number of cars in two heats running has gained; negative is better.
    """
    np.random.seed(seed)  # noqa: NPY002 (compiled code knows no other generator)
    ratio = (cold / hot) ** (1.0 / max(moves, 1))
    temperature = hot
    total = 0
    for _ in range(moves):
        temperature *= ratio
        r = np.random.randint(starts.shape[0] - 1)  # noqa: NPY002 (the same)
        size = starts[r + 1] - starts[r]
        i = starts[r] + np.random.randint(size)  # noqa: NPY002 (the same)
        j = starts[r] + np.random.randint(size)  # noqa: NPY002 (the same)
        before = _overlaps(blocks, i, j)
        _exchange_rows(blocks, i, j)
        gain = _overlaps(blocks, i, j) - before
        if gain <= 0 or np.random.random() < np.exp(-gain / temperature):  # noqa: NPY002 (the same)
            total += gain
        else:
            _exchange_rows(blocks, i, j)
    return total


@njit(cache=True)
def _overlaps(blocks: Ints, i: int, j: int) -> int:
    """Return how many cars two heats share with the heats beside them."""
    found = 0
    for h in (i, j):
        for other in range(max(h - 1, 0), min(h + 2, blocks.shape[0]), 1):
            for car in range(blocks.shape[1] if other != h else 0):
                found += blocks[h, car] * blocks[other, car]
    return found


@njit(cache=True)
def _exchange_rows(blocks: Ints, i: int, j: int) -> None:
    for column in range(blocks.shape[1]):
        blocks[i, column], blocks[j, column] = blocks[j, column], blocks[i, column]
