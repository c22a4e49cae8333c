from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate, stats

from hillbench.fitting.scatter import JUNK_RATE, JUNK_SHARE, Scatter

WHOLE = Scatter(np.array([1.0]), np.array([0.0]), 0.3, 10.0)


def _density(residual: float, scatter_s: float = 0.05, bad_rate: float = 0.06) -> float:
    noise = np.array([scatter_s]), np.array([bad_rate])
    return float(np.exp(WHOLE.log_density(np.array([residual]), *noise))[0])


@pytest.mark.parametrize("residual", [-0.5, -0.1, 0.0, 0.05, 0.3, 2.0])
def test_density_is_the_mixture_of_three(residual: float) -> None:
    clean = stats.norm(0.0, 0.05).pdf(residual)
    bad = stats.exponnorm(0.3 / 0.05, scale=0.05).pdf(residual)
    junk = stats.cauchy(0.0, JUNK_SHARE * 10.0).pdf(residual)
    wanted = (1.0 - JUNK_RATE) * (0.94 * clean + 0.06 * bad) + JUNK_RATE * junk
    assert _density(residual) == pytest.approx(wanted, rel=1e-9)


def test_density_holds_all_probability() -> None:
    near = integrate.quad(_density, -1.0, 6.0, points=[0.0, 0.2], limit=200)[0]
    far = JUNK_RATE * (stats.cauchy(0.0, 0.5).cdf(-1.0) + stats.cauchy(0.0, 0.5).sf(6.0))
    assert near + far == pytest.approx(1.0, abs=1e-6)


def test_density_is_finite_far_away_and_for_any_noise() -> None:
    scatter = np.array([[1e-6], [0.01], [30.0]])
    rates = np.array([[1e-9], [0.06], [0.999]])
    residual = np.array([[-1e3], [0.0], [1e3]])
    assert np.all(np.isfinite(WHOLE.log_density(residual, scatter, rates)))


def test_only_late_times_look_bad() -> None:
    noise = np.array([0.05]), np.array([0.06])
    wrong = [float(WHOLE.bad_probability(np.array([r]), *noise)[0]) for r in (-0.1, 0.0, 0.4)]
    assert wrong[0] < 0.05
    assert wrong[1] < 0.05
    assert wrong[2] > 0.99


def test_stretches_add_up_to_the_whole_run() -> None:
    parts = Scatter(np.array([0.25, 0.75]), np.array([0.0, 0.0]), 0.3, 10.0)
    deviation = parts.deviation_s(np.array([0.05]))
    assert float(np.sum(deviation**2)) == pytest.approx(0.05**2)
