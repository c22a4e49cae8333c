"""Weighted draws and the sampler tell the same of one posterior."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from hillbench.fitting.ellipse_sampler import CHAINS, draw_ellipses
from hillbench.fitting.posterior import StudentT, draw_adapted
from hillbench.fitting.prepare import locate, prepare
from tests.fitting.world import WINDING, Truth, evidence, make_runs


def test_the_sampler_agrees_with_weighted_draws() -> None:
    rng = np.random.default_rng(12)
    track = replace(WINDING, gates_at_m=(6.0, 12.0))
    objective = prepare(evidence(track, Truth(), make_runs(track, Truth(), 5, rng, (None, 47.0))))
    mode = locate(objective)
    about = StudentT.about(mode.scores, mode.covariance())
    drawn, about = draw_adapted(objective.log_posterior, about, (1000, 2000, 8000), rng)
    chains = draw_ellipses(
        objective.log_posterior, about, drawn.resample(CHAINS, rng), rng, effective=2000.0
    )
    assert drawn.trusted
    assert chains.worst_r_hat() < 1.03
    both = drawn.resample(4000, rng), chains.flat
    weighted, sampled = (objective.coordinates.scores(points) for points in both)
    for number, unknown in enumerate(objective.predictor.layout.unknowns):
        for share in (0.05, 0.5, 0.95):
            at = np.quantile(sampled[:, number], share)
            below = float(np.mean(weighted[:, number] < at))
            assert below == pytest.approx(share, abs=0.045), unknown.name
