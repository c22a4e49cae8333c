"""Readings and their uncertainty against the examples of the GUM."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from hillbench.uncertainty import (
    half_width_uncertainty,
    repeated_reading,
    resolution_uncertainty,
)
from tests.outside.registry import Outside

AREA = "Readings and uncertainty"
GUM = "JCGM 100:2008 (GUM)"

TEMPERATURES_C = [
    *(96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07),
    *(100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72),
]
"""GUM table 1; data from memory, and the printed results follow from them."""


def test_gum_4_4_3_mean(outside: Outside) -> None:
    estimate = repeated_reading(TEMPERATURES_C)
    outside.check(
        "mean of 20 temperatures",
        source=f"{GUM} 4.4.3 and table 1",
        how="calculated",
        expected=100.145,
        got=estimate.value,
        within=5e-4,
        unit="°C",
    )
    outside.check(
        "standard uncertainty of that mean",
        source=f"{GUM} 4.4.3 and table 1",
        how="calculated",
        expected=0.333,
        got=estimate.standard_uncertainty,
        within=5e-4,
        unit="°C",
    )
    assert estimate.degrees_of_freedom == pytest.approx(19.0)


def test_gum_4_4_5_rectangular(outside: Outside) -> None:
    outside.check(
        "rectangular distribution of half-width 4",
        source=f"{GUM} 4.4.5 (2.3); GTC 1.5.1",
        how="run",
        expected=2.309401,
        got=half_width_uncertainty(4.0),
        within=5e-7,
        unit="°C",
    )


def test_gum_f_2_2_1_resolution(outside: Outside) -> None:
    outside.check(
        "digital resolution, u of one step",
        source=f"{GUM} F.2.2.1 (0.29); GTC 1.5.1",
        how="run",
        expected=0.2886751345948129,
        got=resolution_uncertainty(1.0),
        rel=1e-15,
        unit="steps",
    )


def test_mean_and_its_standard_error_agree_with_scipy(outside: Outside) -> None:
    readings = np.round(np.random.default_rng(64).normal(37.2, 0.03, 7), 2)
    estimate = repeated_reading(readings.tolist())
    outside.check(
        "standard error of the mean of 7 weighings",
        source="SciPy stats.sem",
        how="run",
        expected=float(stats.sem(readings)),
        got=estimate.standard_uncertainty,
        rel=1e-12,
        unit="g",
    )


def test_coverage_of_weighings_with_scatter_and_resolution(outside: Outside) -> None:
    """Welch-Satterthwaite intervals (GUM G.4.1) hold the truth as often as they say.

    With less scatter than one step they hold it more often, since rounding is counted twice:
    in the scatter and in the resolution.
    """
    rng = np.random.default_rng(101)
    held, trials = 0, 2000
    for _ in range(trials):
        true_g = rng.uniform(30.0, 31.0)
        readings = np.round(rng.normal(true_g, 0.3, 5), 1)
        estimate = repeated_reading(readings.tolist(), resolution=0.1)
        half = stats.t.ppf(0.975, estimate.degrees_of_freedom) * estimate.standard_uncertainty
        held += abs(estimate.value - true_g) <= half
    outside.check(
        "95 % intervals that hold the truth, 2,000 simulated weighings, scatter of 3 steps",
        source=f"{GUM} G.4.1 (Welch-Satterthwaite)",
        how="run",
        expected=0.95,
        got=held / trials,
        within=0.015,
    )
