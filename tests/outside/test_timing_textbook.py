"""Textbook statistics of runs against certified sets, R and tables."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest
import scipy
from scipy import stats

from hillbench.timing.keep_fastest import expected_largest
from hillbench.timing.stopping import runs_to_see
from hillbench.timing.textbook import (
    critical_range,
    lag_one_correlation,
    mean_and_sd,
    one_way,
    paired_t,
    sign_flip,
)
from tests.outside.registry import Outside

AREA = "Timing: textbook statistics"

ANOVA_SETS = Path(scipy.__file__).parent / "stats" / "tests" / "data" / "nist_anova"

SLEEP = (
    (0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0),
    (1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4),
)
"""Student 1908, hours of sleep gained by ten patients under two drugs (R: sleep)."""

SHOES = (
    (13.2, 8.2, 10.9, 14.3, 10.7, 6.6, 9.5, 10.8, 8.8, 13.3),
    (14.0, 8.8, 11.2, 14.2, 11.8, 6.4, 9.8, 11.3, 9.3, 13.6),
)
"""Box, Hunter and Hunter 1978, wear of two materials on ten boys' shoes (R: MASS shoes)."""

DYESTUFF = (
    (1545, 1440, 1440, 1520, 1580),
    (1540, 1555, 1490, 1560, 1495),
    (1595, 1550, 1605, 1510, 1560),
    (1445, 1440, 1595, 1465, 1545),
    (1595, 1630, 1515, 1635, 1625),
    (1520, 1455, 1450, 1480, 1445),
)
"""Davies and Goldsmith 1972, yield of five samples of six batches (R: lme4 Dyestuff)."""


def _numbers_like(base: float, low: float, high: float) -> list[float]:
    return [base, *[low, high] * 500]


NUMACC = {
    1: ([10000001.0, 10000003.0, 10000002.0], 10000002.0, 1.0, -0.5, 1e-15),
    2: (_numbers_like(1.2, 1.1, 1.3), 1.2, 0.1, -0.999, 1e-13),
    3: (_numbers_like(1000000.2, 1000000.1, 1000000.3), 1000000.2, 0.1, -0.999, 2e-9),
    4: (_numbers_like(10000000.2, 10000000.1, 10000000.3), 10000000.2, 0.1, -0.999, 2e-8),
}
"""Values, mean, standard deviation, lag-1 correlation; digits that double precision leaves."""


@pytest.mark.parametrize("number", NUMACC)
def test_univariate_sets(outside: Outside, number: int) -> None:
    values, mean, sd, correlation, rel = NUMACC[number]
    got = (*mean_and_sd(values), lag_one_correlation(values))
    for what, expected, value, part in (
        ("mean", mean, got[0], 1e-15),
        ("standard deviation", sd, got[1], rel),
        ("lag-1 correlation", correlation, got[2], max(rel, 1e-12)),
    ):
        outside.check(
            f"NumAcc{number}, {what}",
            source="NIST StRD univariate sets, certified values",
            how="read",
            expected=expected,
            got=value,
            rel=part,
        )


@pytest.mark.parametrize(
    "name", ["SiRstv", "AtmWtAg", *(f"SmLs0{number}" for number in range(1, 10))]
)
def test_one_way_sets(outside: Outside, name: str) -> None:
    text = (ANOVA_SETS / f"{name}.dat").read_text(encoding="utf-8")
    f, sd = _certified(text)
    rows = np.loadtxt(ANOVA_SETS / f"{name}.dat", skiprows=60)
    groups = [rows[rows[:, 0] == group, 1].tolist() for group in np.unique(rows[:, 0])]
    table = one_way(groups)
    # Sets 07 to 09 hold 13 equal leading digits, of which double precision keeps few.
    rel = 1e-3 if name in {"SmLs07", "SmLs08", "SmLs09"} else 1e-9
    for what, expected, got in (("F", f, table.f), ("residual sd", sd, table.within_sd)):
        outside.check(
            f"{name}, {what}",
            source="NIST StRD one-way sets in the SciPy wheel, certified values",
            how="read",
            expected=expected,
            got=got,
            rel=rel,
        )


def _certified(text: str) -> tuple[float, float]:
    """Return F and residual standard deviation from the header of a set."""
    number = r"([-+.\dEe]+)"
    f = re.search(rf"^Between \w+\s+\d+\s+{number}\s+{number}\s+{number}", text, re.MULTILINE)
    sd = re.search(rf"Residual\s+Standard Deviation\s+{number}", text)
    assert f is not None
    assert sd is not None
    return float(f[3]), float(sd[1])


@pytest.mark.parametrize(
    ("name", "pairs", "t", "p", "flip"),
    [
        ("sleep", SLEEP, -4.06212768338204, 0.00283289019738427, 0.00390625),
        ("shoes", SHOES, -3.34887653622158, 0.00853878071759894, 0.013671875),
    ],
)
def test_pairs(
    outside: Outside,
    name: str,
    pairs: tuple[tuple[float, ...], ...],
    t: float,
    p: float,
    flip: float,
) -> None:
    got = paired_t(*pairs)
    for what, expected, value, rel in (
        ("paired t", t, got[0], 1e-10),
        ("its p", p, got[1], 1e-10),
        ("exact sign-flip p", flip, sign_flip(*pairs), 1e-12),
    ):
        outside.check(
            f"{name}, {what}",
            source="R 4.2.2 t.test; exactRankTests 0.8.35 perm.test",
            how="run",
            expected=expected,
            got=value,
            rel=rel,
        )


def test_variance_between_batches(outside: Outside) -> None:
    table = one_way(DYESTUFF)
    for what, expected, got in (
        ("between batches", 42.0005953103894, table.between_sd),
        ("within batches", 49.5100999656347, table.within_sd),
    ):
        outside.check(
            f"Dyestuff, standard deviation {what}",
            source="R lme4 1.1-31, REML",
            how="run",
            expected=expected,
            got=got,
            within=1e-4,
        )


def test_variance_between_never_goes_negative() -> None:
    assert one_way([[1.0, 9.0], [2.0, 8.0], [5.5, 4.5]]).between_sd == 0.0


@pytest.mark.parametrize(
    ("count", "expected"),
    [
        (2, 0.5641895835),
        (3, 0.8462843753),
        (5, 1.1629644736),
        (8, 1.423600306),
        (16, 1.7659913931),
        (30, 2.0427608442),
    ],
)
def test_normal_order_statistics(outside: Outside, count: int, expected: float) -> None:
    outside.check(
        f"expected largest of {count} normal values",
        source="Harter 1961, Biometrika 48, 151-165; integrated in R",
        how="run",
        expected=expected,
        got=expected_largest(count),
        within=1e-9,
    )


@pytest.mark.parametrize(
    ("runs", "expected"), [(2, 2.8), (3, 3.3), (4, 3.6), (5, 3.9), (6, 4.0), (8, 4.3), (10, 4.5)]
)
def test_critical_ranges(outside: Outside, runs: int, expected: float) -> None:
    outside.check(
        f"critical range factor for {runs} results",
        source="ISO 5725-6:1994 table 1 (from memory)",
        how="memory",
        expected=expected,
        got=critical_range(1.0, runs),
        within=0.05,
    )


def test_number_of_runs_for_power(outside: Outside) -> None:
    """The t test asks for z²/4 runs more than its normal limit (Guenther 1981)."""
    z = float(stats.norm.ppf(0.975))
    outside.check(
        "runs each for d = 1, two-sided 5 %, power 90 %, with Guenther's z²/4",
        source="R 4.2.2 power.t.test example, n = 22.02",
        how="run",
        expected=22.0210977038512,
        got=runs_to_see(1.0, 1.0, sure=0.975, power=0.9) + z**2 / 4.0,
        within=0.1,
    )


def test_number_of_runs_in_the_normal_limit(outside: Outside) -> None:
    """For a small difference the power of the t test at that number is the one asked for."""
    runs = runs_to_see(0.05, 1.0, sure=0.95, power=0.8)
    freedom, shift = 2.0 * runs - 2.0, 0.05 * math.sqrt(runs / 2.0)
    outside.check(
        "power of the one-sided t test at the number of runs for d = 0.05, power 80 %",
        source="SciPy noncentral t",
        how="run",
        expected=0.8,
        got=float(stats.nct.sf(stats.t.ppf(0.95, freedom), freedom, shift)),
        within=1e-3,
    )
