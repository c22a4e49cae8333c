"""Keeping the fastest of several, and the best time yet to come."""

from __future__ import annotations

import numpy as np
import pytest

from hillbench.errors import InvalidInput
from hillbench.timing.keep_fastest import expected_largest, keep_fastest, second_stage
from hillbench.timing.run import TimedRun
from hillbench.timing.summary import best_to_expect, repeatability


def test_seen_and_real_gain_by_simulation() -> None:
    rng = np.random.default_rng(9)
    true = rng.normal(0.0, 0.10, (100_000, 6))
    seen = true + rng.normal(0.0, 0.08 / np.sqrt(2.0), true.shape)
    kept = seen.argmin(axis=1)[:, None]
    gain = keep_fastest(6, 2, 0.10, 0.08)
    assert gain.real_s == pytest.approx(-float(np.take_along_axis(true, kept, 1).mean()), abs=1e-3)
    assert gain.seen_s == pytest.approx(-float(np.take_along_axis(seen, kept, 1).mean()), abs=1e-3)
    assert gain.seen_s / gain.real_s == pytest.approx(1.0 + 0.08**2 / (2.0 * 0.10**2))


def test_limits() -> None:
    assert keep_fastest(1, 3, 0.1, 0.1).real_s == pytest.approx(0.0, abs=1e-12)
    assert keep_fastest(5, 3, 0.0, 0.1).real_s == 0.0
    assert keep_fastest(5, 3, 0.0, 0.0).seen_s == 0.0
    exact = keep_fastest(5, 1, 0.1, 0.0)
    assert exact.real_s == pytest.approx(exact.seen_s) == pytest.approx(0.1 * expected_largest(5))


@pytest.mark.parametrize("bad", [(0, 1, 0.1, 0.1), (2, 0, 0.1, 0.1), (2, 1, -0.1, 0.1)])
def test_counts_and_spreads_that_are_not_allowed(bad: tuple[int, int, float, float]) -> None:
    with pytest.raises(InvalidInput):
        keep_fastest(*bad)


def test_the_fastest_quarter_runs_again() -> None:
    times = [10.5, 10.3, 10.6, 10.1, 10.4, 10.9, 10.8, 10.7, 10.2]
    assert second_stage(times) == (3, 8, 1)
    assert second_stage([10.5]) == (0,)
    assert second_stage([10.5, 10.4, 10.3]) == (2, 1)


def test_best_to_expect_by_simulation() -> None:
    rng = np.random.default_rng(4)
    draws = rng.normal(10.5, 0.05, (200_000, 5)).min(axis=1)
    expected = float(np.minimum(draws, 10.45).mean())
    assert best_to_expect(10.5, 0.05, 10.45, 5) == pytest.approx(expected, abs=3e-4)
    assert best_to_expect(10.5, 0.05, 10.45, 0) == 10.45
    far = best_to_expect(10.5, 0.05, 12.0, 3)
    assert far == pytest.approx(10.5 - 0.05 * expected_largest(3), abs=1e-4)


def test_repeatability_is_pooled_within_car_and_outing() -> None:
    runs = [
        TimedRun(car, time, outing=outing)
        for car, outing, times in (
            ("A", "one", (10.0, 10.2)),
            ("A", "two", (11.0, 11.2)),
            ("B", "one", (10.5, 10.7)),
        )
        for time in times
    ]
    found = repeatability(runs)
    assert found.freedom == 3
    assert found.spread_s == pytest.approx(0.2 / np.sqrt(2.0))
    assert found.limit_s == pytest.approx(2.8 * found.spread_s)
    with pytest.raises(InvalidInput):
        repeatability(runs[:2])
