"""Verdicts, and how many runs it would take."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from hillbench.timing.stopping import (
    Verdict,
    decide,
    least_mattering,
    pairs_still_needed,
    runs_to_see,
    verdict_chance,
)


@pytest.mark.parametrize(
    ("odds", "close", "runs", "verdict"),
    [
        (0.96, 0.0, 3, Verdict.FIRST),
        (0.04, 0.0, 3, Verdict.SECOND),
        (0.96, 0.9, 3, Verdict.FIRST),
        (0.60, 0.81, 3, Verdict.TOO_CLOSE),
        (0.60, 0.79, 3, Verdict.KEEP_RUNNING),
        (0.999, 0.0, 2, Verdict.KEEP_RUNNING),
        (0.95, 0.0, 9, Verdict.KEEP_RUNNING),
    ],
)
def test_verdicts(odds: float, close: float, runs: int, verdict: Verdict) -> None:
    assert decide(odds, close, runs) is verdict


def test_a_headline_asks_for_more() -> None:
    assert decide(0.96, 0.0, 5, sure=0.975) is Verdict.KEEP_RUNNING


@pytest.mark.parametrize("pairs", [1, 3, 10])
@pytest.mark.parametrize("gap", [0.0, 0.03, 0.1])
def test_chance_of_a_verdict_by_simulation(pairs: int, gap: float) -> None:
    """Draw the truth, then the estimate it leads to, and count the verdicts."""
    rng = np.random.default_rng(5)
    sd, spread, matters = 0.05, 0.05, 0.04
    truth = rng.normal(gap, sd, 200_000)
    noise = rng.normal(0.0, spread * np.sqrt(2.0 / pairs), truth.size)
    weight = pairs / (2.0 * spread**2)
    variance = 1.0 / (1.0 / sd**2 + weight)
    mean = variance * (gap / sd**2 + weight * (truth + noise))
    later = stats.norm(mean, np.sqrt(variance))
    below, close = later.cdf(0.0), later.cdf(matters) - later.cdf(-matters)
    said = np.asarray((below > 0.95) | (below < 0.05) | (close > 0.8))
    got = verdict_chance(np.array([gap]), np.array([sd]), spread, matters, pairs)[0]
    assert got == pytest.approx(float(said.mean()), abs=0.005)


def test_more_pairs_where_the_gap_is_smaller() -> None:
    gaps, sds = np.array([0.08, 0.05, 0.02]), np.full(3, 0.03)
    needed = pairs_still_needed(gaps, sds, 0.05, 0.001, np.full(3, 5))
    assert list(needed) == sorted(needed)
    assert needed[0] >= 1


def test_at_least_as_many_as_the_first_look_asks_for() -> None:
    needed = pairs_still_needed(np.array([1.0]), np.array([0.05]), 0.05, 0.05, np.array([1]))
    assert needed[0] == 2


def test_what_would_take_too_long_is_said() -> None:
    needed = pairs_still_needed(np.array([0.0]), np.array([0.02]), 0.1, 1e-6, np.array([5]))
    assert needed[0] == -1


def test_runs_to_see_grow_with_the_square() -> None:
    assert runs_to_see(0.01, 0.05) == pytest.approx(4.0 * runs_to_see(0.02, 0.05))


@pytest.mark.parametrize(("spread", "matters"), [(0.04651, 0.047), (0.1234, 0.12), (0.0, 0.0)])
def test_what_matters_by_default(spread: float, matters: float) -> None:
    assert least_mattering(spread) == pytest.approx(matters)
