"""Weighted draws, nested draws and the sampler tell the same of one posterior."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from hillbench.coasting.result import Floats
from hillbench.fitting.blocks import Blocks
from hillbench.fitting.ellipse_sampler import CHAINS, draw_ellipses
from hillbench.fitting.evidence import Evidence
from hillbench.fitting.nested import draw_nested
from hillbench.fitting.nested_proposal import NestedProposal
from hillbench.fitting.objective import Objective
from hillbench.fitting.posterior import StudentT, draw_adapted
from hillbench.fitting.prepare import locate, prepare
from tests.fitting.world import CAR, LOSSES, WINDING, Truth, known, make_runs


@pytest.fixture(scope="module")
def objective() -> Objective:
    """Two cars on one hill, one of them at two masses, both with gates."""
    rng = np.random.default_rng(12)
    track = replace(WINDING, gates_at_m=(6.0, 12.0))
    truths = (
        Truth(),
        Truth("Gorse", replace(CAR, mass_g=45.0), replace(LOSSES, bearing_friction=0.12)),
    )
    runs = (
        *make_runs(track, truths[0], 5, rng, (None, 47.0)),
        *make_runs(track, truths[1], 4, rng),
    )
    return prepare(Evidence(track, tuple(known(truth) for truth in truths), runs))


def test_three_ways_of_drawing_agree(objective: Objective) -> None:
    rng = np.random.default_rng(12)
    mode = locate(objective)
    about = StudentT.about(mode.scores, mode.covariance())
    weighted, _ = draw_adapted(objective.log_posterior, about, (1000, 2000, 12_000), rng)
    blocks = Blocks.of(objective)
    nested, close = draw_nested(
        blocks, NestedProposal.about(blocks, mode), (200, 400, 2500, 2500), rng
    )
    chains = draw_ellipses(blocks, close, nested.resample(CHAINS, rng), rng, effective=2000.0)
    assert weighted.trusted
    assert nested.trusted
    assert chains.worst_r_hat() < 1.05
    _agree(objective, chains.flat, weighted.resample(4000, rng))
    _agree(objective, chains.flat, nested.resample(4000, rng))


def _agree(objective: Objective, sampled: Floats, other: Floats) -> None:
    ours, theirs = (objective.coordinates.scores(points) for points in (sampled, other))
    for number, unknown in enumerate(objective.predictor.layout.unknowns):
        for share in (0.05, 0.5, 0.95):
            below = float(np.mean(theirs[:, number] < np.quantile(ours[:, number], share)))
            assert below == pytest.approx(share, abs=0.05), unknown.name


def test_a_car_that_stalls_spoils_no_other(objective: Objective) -> None:
    blocks = Blocks.of(objective)
    points = np.repeat(locate(objective).scores[None, :], 2, axis=0)
    drag = objective.predictor.layout.places["steady_drag_mn", "Gorse"]
    points[1, drag] = 8.0  # 900 mN: it does not set off
    _, by_car = blocks.log_densities(points)
    assert by_car[1, 0] == pytest.approx(by_car[0, 0])
    assert np.isneginf(by_car[1, 1])


def test_parts_add_up_to_the_whole(objective: Objective) -> None:
    blocks = Blocks.of(objective)
    mode = locate(objective)
    points = mode.scores + 0.1 * np.random.default_rng(3).standard_normal((20, objective.count))
    prior, by_car = blocks.log_densities(points)
    whole = objective.log_posterior(points)
    assert prior + np.sum(by_car, axis=1) == pytest.approx(whole, abs=1e-6)
