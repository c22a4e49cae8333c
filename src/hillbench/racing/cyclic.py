"""Schedules from base blocks: heat i has the cars of its block, each moved on by i."""

from __future__ import annotations

import itertools
import math
from typing import Final

import numpy as np
import numpy.typing as npt

from hillbench.racing.counts import least_squares_of_meetings

Ints = npt.NDArray[np.int32]

_ATTEMPTS: Final = 12
_MOVES: Final = 400_000


def cyclic_table(
    cars: int, lanes: int, rounds: int, rng: np.random.Generator, *, rest_first: bool
) -> Ints | None:
    """Return cars by heat and lane whose pairs meet as evenly as can be, or None.

    Parameters
    ----------
    cars, lanes, rounds
        More cars than lanes; cars are numbered from 0.
    rng
        Source of randomness.
    rest_first
        Whether only a schedule in which no car runs twice running is wanted.

    Notes
    -----
    Moving a block through all cars puts each car once on each lane, and two cars meet as often
    as their difference occurs in the block: once or λ times each for a difference set, which
    in this form is a Youden rectangle (C. A. B. Smith and H. O. Hartley, The construction of
    Youden squares, Journal of the Royal Statistical Society B 10 (1948), 262-263). Several
    rounds have a block each, a difference family (C. J. Colbourn and J. H. Dinitz, Handbook of
    Combinatorial Designs, 2nd ed. 2007, II.16 and II.18). Heats s apart share as many cars as
    s occurs; so a difference that does not occur, prime to the number of cars, is the step at
    which to take the heats.
    """
    from hillbench.racing.difference_kernel import even_differences

    differences = rounds * lanes * (lanes - 1)
    if rest_first and rounds == 1 and differences >= cars - 1:
        return None  # Every difference occurs, so any two heats share a car.
    goal = least_squares_of_meetings(differences, cars - 1)
    blocks = np.zeros((rounds, lanes), dtype=np.int32)
    for _ in range(_ATTEMPTS):
        seed = int(rng.integers(2**31))
        if not even_differences(blocks, cars, goal, _MOVES // _ATTEMPTS * rounds, seed):
            continue
        table = _in_steps(blocks, cars)
        if table is not None and not (rest_first and _runs_twice(table)):
            return table
    return None


def _in_steps(blocks: Ints, cars: int) -> Ints | None:
    """Return the heats of all rounds, each at the step that leaves its cars most rest."""
    heats: list[Ints] = []
    for block in blocks:
        step = max(_steps(cars), key=lambda step: _rest(block, cars, step))
        turns = np.arange(cars) * step % cars
        own = (block + turns[:, None]) % cars
        shared = [len(np.intersect1d(heats[-1][-1], heat)) if heats else 0 for heat in own]
        heats.append(np.roll(own, -int(np.argmin(shared)), axis=0))
    return np.concatenate(heats).astype(np.int32)


def _steps(cars: int) -> list[int]:
    return [step for step in range(1, cars) if math.gcd(step, cars) == 1] or [1]


def _rest(block: Ints, cars: int, step: int) -> tuple[int, int]:
    """Return how few cars run twice running at a step, negative, and the shortest rest."""
    inverse = pow(step, -1, cars) if cars > 1 else 0
    turns = np.sort(-block.astype(np.int64) * inverse % cars)
    gaps = np.diff(np.append(turns, turns[0] + cars))
    return -int((gaps == 1).sum()), int(gaps.min())


def _runs_twice(table: Ints) -> bool:
    return any(np.intersect1d(a, b).size for a, b in itertools.pairwise(table))
