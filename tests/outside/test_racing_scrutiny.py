"""Guard bands of scrutiny against the probability of conformity they promise."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from hillbench.racing.class_rules import ClassRules, Limit
from hillbench.racing.scrutiny import Verdict, judge
from tests.outside.registry import Outside

AREA = "Racing: scrutiny"
LIMIT_G = 60.0


def edge_g(guard_g: float, verdict: Verdict, low_g: float, high_g: float) -> float:
    """Return the reading at which `verdict` ends or begins, found by halving, g."""
    rules = ClassRules((Limit("mass_g", most=LIMIT_G),), scale_guard_g=guard_g)
    at_low = judge(rules, {"mass_g": [low_g]}, {}).verdict is verdict
    for _ in range(60):
        middle_g = (low_g + high_g) / 2.0
        if (judge(rules, {"mass_g": [middle_g]}, {}).verdict is verdict) == at_low:
            low_g = middle_g
        else:
            high_g = middle_g
    return low_g


@pytest.mark.parametrize("standard_uncertainty_g", [0.01, 0.025, 0.1])
def test_guarded_acceptance_and_rejection(outside: Outside, standard_uncertainty_g: float) -> None:
    """A band of twice the standard uncertainty: 97.7 % on each side (normal distribution)."""
    guard_g = 2.0 * standard_uncertainty_g
    accepted_g = edge_g(guard_g, Verdict.PASS, 50.0, 70.0)
    rejected_g = edge_g(guard_g, Verdict.FAIL, 50.0, 70.0)
    for name, reading_g, sign in (("accepted", accepted_g, 1.0), ("rejected", rejected_g, -1.0)):
        margin = sign * (LIMIT_G - reading_g) / standard_uncertainty_g
        outside.check(
            f"scale of u = {standard_uncertainty_g:g} g: probability that a car {name} at the "
            "edge is so",
            source="JCGM 106:2012, 8.3.2 and 8.3.3 (guard band r = 1); Φ(2) by SciPy",
            how="calculated",
            expected=float(norm.cdf(2.0)),
            got=float(norm.cdf(margin)),
            within=1e-4,
        )


def test_guarded_acceptance_by_drawing(outside: Outside) -> None:
    """Cars at the edge of acceptance, their true mass drawn: how many are within the limit."""
    guard_g, count = 0.05, 400_000
    reading_g = edge_g(guard_g, Verdict.PASS, 50.0, 70.0)
    true_g = np.random.default_rng(5).normal(reading_g, guard_g / 2.0, count)
    outside.check(
        "share of cars accepted at the edge that are within the limit, by drawing",
        source="JCGM 106:2012, 8.3.2 (guard band r = 1)",
        how="calculated",
        expected=0.97725,
        got=float((true_g <= LIMIT_G).mean()),
        within=4.0 * float(np.sqrt(0.97725 * 0.02275 / count)),
    )
