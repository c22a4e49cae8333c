"""What one core can do at most, measured: fused multiply-adds, and divisions and roots."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from numba import njit

LANES = 512
CHAIN = 16


@njit(fastmath={"contract"})  # fuse, but do not fold the chain into one
def _multiply_add(values: np.ndarray, rounds: int, factor: float) -> None:
    for _ in range(rounds):
        for index in range(values.shape[0]):
            value = values[index]
            for _link in range(16):
                value = value * factor + 0.001
            values[index] = value


@njit(error_model="numpy")
def _divide_and_root(values: np.ndarray, rounds: int, factor: float) -> None:
    for _ in range(rounds):
        for index in range(values.shape[0]):
            value = values[index]
            for _link in range(8):
                value = factor / np.sqrt(value)
            values[index] = value


def multiply_adds_per_s() -> float:
    """Return additions and multiplications a second of one core, in double precision."""
    return 2.0 * CHAIN * _rate(_multiply_add)


def divisions_and_roots_per_s() -> float:
    """Return divisions and square roots a second of one core, half of each."""
    return float(CHAIN) * _rate(_divide_and_root)


def _rate(loop: Callable[[np.ndarray, int, float], None]) -> float:
    values = np.linspace(1.0, 2.0, LANES)
    loop(values, 10, 0.999)
    best = 0.0
    for _ in range(5):
        began = time.process_time()
        loop(values, 4000, 0.999)
        best = max(best, LANES * 4000 / (time.process_time() - began))
    return best
