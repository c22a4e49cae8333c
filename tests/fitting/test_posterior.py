from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from hillbench.coasting.result import Floats
from hillbench.fitting.chains import Chains
from hillbench.fitting.ellipse_sampler import draw_ellipses
from hillbench.fitting.nested_proposal import CarProposal, NestedProposal
from hillbench.fitting.posterior import (
    StudentT,
    draw_adapted,
    draw_weighted,
    fit_pareto,
)

COVARIANCE = np.array([[1.0, 0.6], [0.6, 2.0]])
ABOUT = StudentT.about(np.array([0.5, -1.0]), COVARIANCE)


@dataclass(frozen=True)
class _Banana:
    """x ~ N(0, 1) is shared, y given x ~ N(x², 1/4)."""

    shared: NDArray[np.intp]
    cars: tuple[NDArray[np.intp], ...]

    def log_densities(self, points: Floats) -> tuple[Floats, Floats]:
        x, y = points.T
        return -0.5 * x**2, (-2.0 * (y - x**2) ** 2)[:, None]


def test_density_of_the_t_is_that_of_scipy() -> None:
    points = np.array([[0.0, 0.0], [3.0, -4.0], [0.5, -1.0]])
    wanted = stats.multivariate_t(ABOUT.centre, COVARIANCE, int(ABOUT.freedom)).logpdf(points)
    assert ABOUT.log_density(points) == pytest.approx(wanted)


@pytest.mark.parametrize("shape", [-0.2, 0.2, 0.6, 1.0])
def test_pareto_shape_is_found(shape: float) -> None:
    drawn = stats.genpareto(shape, scale=2.0).rvs(4000, random_state=np.random.default_rng(1))
    found, scale = fit_pareto(np.sort(drawn))
    assert found == pytest.approx(shape, abs=0.07)
    assert scale == pytest.approx(2.0, rel=0.1)


def test_weighted_draws_have_the_moments_of_the_target() -> None:
    target = stats.multivariate_normal([0.0, 0.0], [[1.0, -0.5], [-0.5, 1.0]])
    drawn = draw_weighted(target.logpdf, ABOUT, 20_000, np.random.default_rng(2))
    assert drawn.trusted
    assert drawn.weights @ drawn.points == pytest.approx([0.0, 0.0], abs=0.05)
    second = (drawn.points.T * drawn.weights) @ drawn.points
    assert second == pytest.approx(np.array([[1.0, -0.5], [-0.5, 1.0]]), abs=0.08)


def test_too_narrow_a_proposal_is_not_trusted() -> None:
    narrow = StudentT.about(np.zeros(3), 0.02 * np.eye(3), freedom=50.0)
    target = stats.multivariate_t(np.zeros(3), np.eye(3), 3)

    def density(points: Floats) -> Floats:
        return np.asarray(target.logpdf(points), dtype=np.float64)

    assert not draw_weighted(density, narrow, 2000, np.random.default_rng(3)).trusted


def test_adaptation_finds_a_shifted_target() -> None:
    target = stats.multivariate_normal([4.0, -4.0], [[0.3, 0.0], [0.0, 3.0]])
    first = draw_weighted(target.logpdf, ABOUT, 2000, np.random.default_rng(4))
    later, _ = draw_adapted(target.logpdf, ABOUT, (2000,) * 4, np.random.default_rng(4))
    assert later.effective > 3.0 * first.effective
    assert later.weights @ later.points == pytest.approx([4.0, -4.0], abs=0.15)


def test_the_sampler_follows_a_banana() -> None:
    rng = np.random.default_rng(5)
    one = StudentT.about(np.zeros(1), np.eye(1))
    about = NestedProposal(one, (CarProposal(np.array([0.5]), np.zeros((1, 1)), one),))
    banana = _Banana(np.array([0]), (np.array([1]),))
    start = rng.standard_normal((96, 2))
    chains = draw_ellipses(banana, about, start, rng, effective=3000.0, most_steps=3000)
    assert chains.worst_r_hat() < 1.03
    x, y = chains.flat.T
    normal = rng.standard_normal((2, 200_000))
    straight = normal[0], normal[0] ** 2 + 0.5 * normal[1]
    for drawn, wanted in zip((x, y), straight, strict=True):
        for share in (0.05, 0.25, 0.5, 0.75, 0.95):
            below = float(np.mean(drawn < np.quantile(wanted, share)))
            assert below == pytest.approx(share, abs=0.02)


def test_effective_number_of_an_autoregression() -> None:
    """AR(1) with coefficient a has n (1 - a)/(1 + a) effective draws."""
    rng = np.random.default_rng(6)
    steps, chains, a = 4000, 8, 0.7
    noise = rng.standard_normal((steps, chains)) * np.sqrt(1.0 - a**2)
    walk = np.empty_like(noise)
    walk[0] = rng.standard_normal(chains)
    for step in range(1, steps):
        walk[step] = a * walk[step - 1] + noise[step]
    got = Chains(walk[:, :, None]).effective()
    assert got == pytest.approx(steps * chains * (1.0 - a) / (1.0 + a), rel=0.1)


def test_chains_that_disagree_are_told() -> None:
    rng = np.random.default_rng(7)
    apart = rng.standard_normal((100, 4, 1)) + np.arange(4)[None, :, None]
    assert Chains(apart).worst_r_hat() > 1.3
