"""Search for base blocks whose differences occur evenly, compiled."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from numba import njit

Ints = npt.NDArray[np.int32]


@njit(cache=True)
def _count_pair(count: Ints, difference: int, step: int) -> int:
    """Count one difference more or less; return what the sum of squares gains."""
    gain: int = 1 + 2 * step * count[difference]
    count[difference] += step
    return gain


@njit(cache=True)
def _exchange(count: Ints, block: Ints, p: int, new: int) -> int:
    """Count the differences of a block whose member `p` becomes `new`."""
    cars, old, gain = count.shape[0], block[p], 0
    for q in range(block.shape[0]):
        if q != p:
            for sign in (1, -1):
                gain += _count_pair(count, sign * (old - block[q]) % cars, -1)
                gain += _count_pair(count, sign * (new - block[q]) % cars, 1)
    block[p] = new
    return gain


@njit(cache=True)
def _restart(count: Ints, blocks: Ints) -> int:
    """Draw new blocks and count their differences; return the sum of squares."""
    cars, lanes = count.shape[0], blocks.shape[1]
    count[:] = 0
    cost = 0
    for block in blocks:
        block[:] = np.random.permutation(cars)[:lanes]  # noqa: NPY002 (compiled code has no other)
        for p in range(lanes):
            for q in range(lanes):
                # A place and itself differ by nothing; that is no pair.
                cost += _count_pair(count, (block[p] - block[q]) % cars, 1) if p != q else 0
    return cost


@njit(cache=True)
def even_differences(blocks: Ints, cars: int, goal: int, moves: int, seed: int) -> bool:
    """Look for base blocks, in place, whose differences have the sum of squares `goal`.

    Parameters
    ----------
    blocks
        One base block a round, places by lane; what stands in it does not matter.
    cars
        The modulus.
    goal
        Least sum of squares of the counts of the differences.
    moves
        Changes of one place tried at most.
    seed
        Seed of the kernel's own generator.

    Returns
    -------
    bool
        Whether the goal was reached.
    """
    np.random.seed(seed)  # noqa: NPY002 (compiled code knows no other generator)
    rounds, lanes = blocks.shape
    count = np.zeros(cars, np.int32)
    cost = _restart(count, blocks)
    stale = 0
    for _ in range(moves):
        if cost <= goal:
            return True
        if stale > 60 * rounds * lanes:
            cost, stale = _restart(count, blocks), 0
        r = np.random.randint(rounds)  # noqa: NPY002 (the same)
        p = np.random.randint(lanes)  # noqa: NPY002 (the same)
        new = np.random.randint(cars)  # noqa: NPY002 (the same)
        old = blocks[r, p]
        if (blocks[r] == new).any():
            continue
        gain = _exchange(count, blocks[r], p, new)
        if gain > 0:
            _exchange(count, blocks[r], p, old)
        cost += min(gain, 0)
        stale = 0 if gain < 0 else stale + 1
    return cost <= goal
