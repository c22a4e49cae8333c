"""Time several samples and keep the fastest: what is seen, and what is real."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hillbench.errors import InvalidInput, Problem


@dataclass(frozen=True, slots=True)
class KeptGain:
    """What keeping the fastest of several samples is worth, against one taken blindly.

    Attributes
    ----------
    real_s
        Expected true gain, s.
    seen_s
        Gain that its own times will show, s: larger, since luck is kept as well.
    """

    real_s: float
    seen_s: float


def expected_largest(count: int) -> float:
    """Return the expected largest of `count` standard normal values.

    Notes
    -----
    e_n = ∫ x n φ(x) Φ(x)^(n−1) dx (David and Nagaraja, Order Statistics, 3rd ed. 2003,
    section 3.1), by the trapezoidal rule, which converges faster than any power here.
    """
    from scipy.special import ndtr

    if not 1 <= count <= 100_000:
        raise ValueError(f"count is {count}; it must be from 1 to 100,000")
    x = np.linspace(-12.0, 12.0, 4801)
    density = np.exp(-0.5 * x**2) / math.sqrt(2.0 * math.pi)
    values = x * count * density * ndtr(x) ** (count - 1)
    return float(values.sum() * (x[1] - x[0]))


def keep_fastest(samples: int, runs_each: int, between_s: float, spread_s: float) -> KeptGain:
    """Return what keeping the fastest of `samples` is worth, seen and real.

    Parameters
    ----------
    samples
        Samples timed, 1 or more.
    runs_each
        Runs of each, 1 or more.
    between_s
        Standard deviation of true times between samples, s.
    spread_s
        Standard deviation of one run, s.

    Notes
    -----
    The means of m runs vary by s_b² + s_r²/m. The fastest is expected to be seen
    e_n √(s_b² + s_r²/m) below the mean, and to be truly e_n s_b²/√(s_b² + s_r²/m) below:
    regression to the mean (Falconer and Mackay, Introduction to Quantitative Genetics, 4th
    ed. 1996, chapter 11, response to selection R = h² S).
    """
    problems = []
    if samples < 1 or runs_each < 1:
        seen = f"{samples} samples of {runs_each} runs"
        problems.append(Problem("keep_fastest", seen, "1 or more of each"))
    if not (between_s >= 0.0 and spread_s >= 0.0 and math.isfinite(between_s + spread_s)):
        seen = f"{between_s:g} s between samples, {spread_s:g} s between runs"
        problems.append(Problem("keep_fastest", seen, "0 s or more"))
    if problems:
        raise InvalidInput(problems)
    scatter = math.sqrt(between_s**2 + spread_s**2 / runs_each)
    if scatter == 0.0:
        return KeptGain(0.0, 0.0)
    largest = expected_largest(samples)
    return KeptGain(largest * between_s**2 / scatter, largest * scatter)


def second_stage(typical_times_s: Sequence[float]) -> tuple[int, ...]:
    """Return which samples to run again after each was timed once: the fastest quarter.

    Parameters
    ----------
    typical_times_s
        Time of each sample.

    Returns
    -------
    places
        Places of the samples to run again, the fastest first; two at least, if there are two.
    """
    count = min(len(typical_times_s), max(2, math.ceil(len(typical_times_s) / 4)))
    order = sorted(range(len(typical_times_s)), key=lambda place: typical_times_s[place])
    return tuple(order[:count])
