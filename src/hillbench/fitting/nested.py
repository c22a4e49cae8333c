"""Weighted draws of many unknowns: of what the cars share, and within each of every car."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.coasting.result import Floats
from hillbench.fitting.blocks import Blocks
from hillbench.fitting.ellipse_sampler import Progress
from hillbench.fitting.nested_proposal import NestedProposal
from hillbench.fitting.posterior import (
    MOST_PARETO_SHAPE,
    smooth_tail,
    systematic,
)

WITHIN: Final = 16
"""Draws of each car within one draw of what is shared."""

ENOUGH: Final = 200.0
"""Effective draws of what is shared from which on no more are made."""

_AT_ONCE: Final = 6000


@dataclass(frozen=True, slots=True)
class NestedDraws:
    """Draws of what is shared, each with draws of every car.

    Attributes
    ----------
    blocks
        What was drawn.
    points
        Shape (outer, inner, n); what is shared is the same within.
    weights
        Of what is shared, summing to 1, shape (outer,).
    inner_weights
        Of each car within, summing to 1, shape (outer, inner, c).
    pareto_shape
        Shape of the tail of the raw weights of what is shared.
    effective
        Effective number of draws of what is shared, 1/Σw².
    """

    blocks: Blocks
    points: Floats
    weights: Floats
    inner_weights: Floats
    pareto_shape: float
    effective: float

    @property
    def trusted(self) -> bool:
        """Whether averages over the draws may be trusted."""
        return self.pareto_shape < MOST_PARETO_SHAPE and self.effective >= 100.0

    def resample(self, count: int, rng: np.random.Generator) -> Floats:
        """Return `count` equally weighted draws, shape (count, n)."""
        outer = systematic(self.weights, count, rng)
        drawn: Floats = self.points[outer, 0].copy()
        for number, part in enumerate(self.blocks.cars):
            sums = np.cumsum(self.inner_weights[outer, :, number], axis=1)
            inner = np.sum(sums < rng.random(count)[:, None] * sums[:, -1:], axis=1)
            drawn[:, part] = self.points[outer, inner][:, part]
        return drawn

    def refitted(self, about: NestedProposal) -> NestedProposal:
        """Return the proposal they came from, fitted to them."""
        flat = self.points.reshape(-1, self.points.shape[-1])
        inner = self.weights[:, None, None] * self.inner_weights
        by_car = inner.reshape(len(flat), -1)
        outer = np.repeat(self.weights, WITHIN)
        return about.refitted(self.blocks, flat, outer, by_car, repeats=WITHIN)


def draw_nested(
    blocks: Blocks,
    about: NestedProposal,
    counts: Sequence[int],
    rng: np.random.Generator,
    progress: Progress | None = None,
) -> tuple[NestedDraws, NestedProposal]:
    """Return nested draws, from a proposal that is fitted to earlier ones in rounds.

    Parameters
    ----------
    blocks
        The log posterior, cut by car.
    about
        Where the first round is drawn from.
    counts
        Draws of what is shared in each round; the rounds end early when there are enough.
    rng
        Source of chance.
    progress
        Told the part that is done; what it raises ends the work.

    Notes
    -----
    The mean weight of a car's inner draws estimates its likelihood given what is shared,
    without bias; so does the product over independent cars, and weights that are right on
    average give draws that are right: M.-N. Tran, M. Scharth, M. K. Pitt and R. Kohn,
    "Importance sampling squared for Bayesian inference in latent variable models",
    arXiv:1309.3339 (2013). Tails are smoothed and tested as in `draw_weighted`.
    """
    done, whole = 0, sum(counts)
    drawn = None
    for number, count in enumerate(counts):
        if drawn is not None:
            about = drawn.refitted(about)

        def tell(share: float, done: int = done, count: int = count) -> None:
            if progress is not None:
                progress((done + share * count) / whole)

        drawn = _draw(blocks, about, count, rng, tell)
        done += count
        if number > 0 and drawn.trusted and drawn.effective >= ENOUGH:
            break
    if drawn is None:
        raise ValueError("there must be one round or more")
    return drawn, about


def _draw(
    blocks: Blocks, about: NestedProposal, count: int, rng: np.random.Generator, tell: Progress
) -> NestedDraws:
    shared = about.shared.draw(count, rng)
    points = np.empty((count, WITHIN, blocks.objective.count))
    points[:, :, blocks.shared] = shared[:, None, :]
    away = np.repeat(shared - about.shared.centre, WITHIN, axis=0)
    proposed = np.empty((count * WITHIN, len(blocks.cars)))
    flat = points.reshape(count * WITHIN, -1)
    for number, (part, car) in enumerate(zip(blocks.cars, about.cars, strict=True)):
        flat[:, part], proposed[:, number] = car.draw(away, rng)
    prior, by_car = _in_parts(blocks, flat, tell)
    inner = (by_car - proposed).reshape(count, WITHIN, -1)
    top = np.max(inner, axis=1)
    top = np.where(np.isfinite(top), top, 0.0)
    raw = np.exp(inner - top[:, None, :])
    total = np.sum(raw, axis=1)
    with np.errstate(divide="ignore"):
        likelihood = np.sum(top + np.log(total), axis=1)
    ratio = likelihood + prior.reshape(count, WITHIN)[:, 0] - about.shared.log_density(shared)
    smoothed, shape = smooth_tail(ratio)
    weights = np.exp(smoothed - np.max(smoothed))
    weights /= np.sum(weights)
    return NestedDraws(
        blocks,
        points,
        weights,
        raw / np.where(total > 0.0, total, 1.0)[:, None, :],
        shape,
        1.0 / float(np.sum(weights**2)),
    )


def _in_parts(blocks: Blocks, points: Floats, tell: Progress) -> tuple[Floats, Floats]:
    """Return the log densities of many points, so many at once that the work can be stopped."""
    parts = []
    for begin in range(0, len(points), _AT_ONCE):
        tell(begin / len(points))
        parts.append(blocks.log_densities(points[begin : begin + _AT_ONCE]))
    priors, by_car = zip(*parts, strict=True)
    return np.concatenate(priors), np.concatenate(by_car)
