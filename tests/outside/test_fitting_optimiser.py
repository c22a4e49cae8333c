"""The search for the mode and its standard errors against certified regressions."""

from __future__ import annotations

import numpy as np
import pytest

from hillbench.coasting.result import Floats
from hillbench.fitting.mode import central_differences, find_mode
from tests.outside.nist_nonlinear import CERTIFIED
from tests.outside.registry import Outside

AREA = "Fitting: optimiser and standard errors"


@pytest.mark.parametrize("name", CERTIFIED)
def test_certified_nonlinear_regression(outside: Outside, name: str) -> None:
    one = CERTIFIED[name]
    y, x = np.array(one.data).T
    unit = np.array(one.start)  # the search works in multiples of the start
    spread = float(np.std(y))

    def predict(points: Floats) -> Floats:
        return one.model(points * unit, x)

    def log_density(points: Floats) -> Floats:
        total = -0.5 * np.sum(((y - predict(points)) / spread) ** 2, axis=1)
        return np.where(np.isfinite(total), total, -np.inf)

    def slopes(point: Floats) -> tuple[Floats, Floats]:
        jacobian, predicted = central_differences(predict, point, np.arange(len(point)))
        weighted = jacobian / spread
        return weighted.T @ ((y - predicted) / spread), weighted.T @ weighted

    mode = find_mode(log_density, slopes, np.ones(len(unit)), most_steps=300, tolerance=1e-15)
    got = mode.scores * unit
    freedom = len(y) - len(unit)
    residual = float(np.sqrt(np.sum((y - predict(mode.scores[None, :])[0]) ** 2) / freedom))
    errors = np.sqrt(np.diag(mode.covariance())) * residual / spread * unit
    source = f"NIST StRD {name}, {one.level} level of difficulty, start 2"
    for number, (value, deviation) in enumerate(
        zip(one.estimates, one.deviations, strict=True), start=1
    ):
        outside.check(
            f"{name}: estimate b{number}",
            source=source,
            how="read",
            expected=value,
            got=float(got[number - 1]),
            rel=1e-4,
        )
        outside.check(
            f"{name}: standard deviation of b{number}",
            source=source,
            how="read",
            expected=deviation,
            got=float(errors[number - 1]),
            rel=1e-3,
        )
    outside.check(
        f"{name}: residual standard deviation",
        source=source,
        how="read",
        expected=one.residual_sd,
        got=residual,
        rel=1e-6,
    )
