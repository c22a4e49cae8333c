"""A sampler for posteriors of any shape: slices along ellipses, many chains side by side."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.coasting.result import Floats
from hillbench.fitting.blocks import Parts
from hillbench.fitting.chains import Chains
from hillbench.fitting.ellipse import Ellipse, Turns
from hillbench.fitting.nested_proposal import NestedProposal

CHAINS: Final = 64
WARM_UP: Final = 60
BLOCK: Final = 50
"""Steps between two looks at whether the chains agree."""

GOOD_R_HAT: Final = 1.03
_WARM_UP_SHARE: Final = 0.3

Progress = Callable[[float], None]
"""Told the part of the work that is done, 0 to 1; may raise to stop the work."""


@dataclass
class _State:
    """Where each chain is, with its log densities."""

    points: Floats
    prior: Floats
    by_car: Floats


def draw_ellipses(
    parts: Parts,
    about: NestedProposal,
    start: Floats,
    rng: np.random.Generator,
    effective: float = 400.0,
    most_steps: int = 500,
    progress: Progress | None = None,
) -> Chains:
    """Return draws by generalised elliptical slice sampling, until the chains agree.

    Parameters
    ----------
    parts
        The log density, cut.
    about
        Distributions that resemble it; fitted anew to the chains three times in the warm-up.
    start
        Where each chain begins, shape (chains, n); the density must be possible there.
    rng
        Source of chance.
    effective
        Effective number of draws that is wanted, in every coordinate.
    most_steps
        Steps after the warm-up at which to give up.
    progress
        Told after each step how far it is, at least.

    Notes
    -----
    R. Nishihara, I. Murray and R. P. Adams, "Parallel MCMC with generalized elliptical slice
    sampling", J. Machine Learning Research 15 (2014) 2087-2112. Nothing is rejected and
    nothing must be tuned; the ellipses are kept fixed once draws count. Each step moves what is
    shared, the parts along with it as they usually go, then all together, and then every part
    by itself: an ellipse in a few coordinates is left far later than one in all. Agreement: R-hat
    below 1.03 and the effective number wanted.
    """
    state = _State(start.copy(), *parts.log_densities(start))
    recent: list[Floats] = []
    for step in range(1, WARM_UP + 1):
        _step(parts, about, state, rng)
        recent.append(state.points.copy())
        _tell(progress, _WARM_UP_SHARE * step / WARM_UP)
        if step % (WARM_UP // 3) == 0:
            latest = np.concatenate(recent[len(recent) // 2 :])
            about = about.refitted(parts, latest, np.ones(len(latest)))
    kept: list[Floats] = []
    chains = Chains(state.points[None, :])
    while len(kept) < most_steps:
        for _ in range(BLOCK):
            _step(parts, about, state, rng)
            kept.append(state.points.copy())
            _tell(progress, _WARM_UP_SHARE + (1.0 - _WARM_UP_SHARE) * len(kept) / most_steps)
        chains = Chains(np.array(kept))
        got = chains.effective()
        _tell(progress, _WARM_UP_SHARE + (1.0 - _WARM_UP_SHARE) * min(got / effective, 1.0))
        if got >= effective and chains.worst_r_hat() < GOOD_R_HAT:
            break
    return chains


def _tell(progress: Progress | None, share: float) -> None:
    if progress is not None:
        progress(min(share, 1.0))


def _step(parts: Parts, about: NestedProposal, state: _State, rng: np.random.Generator) -> None:
    _move_shared(parts, about, state, rng, cars_turn=False)
    _move_shared(parts, about, state, rng, cars_turn=True)
    _move_cars(parts, about, state, rng)


def _move_shared(
    parts: Parts,
    about: NestedProposal,
    state: _State,
    rng: np.random.Generator,
    *,
    cars_turn: bool,
) -> None:
    """Move what is shared, and each part as it usually goes with it.

    Where `cars_turn`, the rest of each part goes along the same ellipse, else it stays.
    """
    shared = Ellipse.of(about.shared, state.points[:, parts.shared] - about.shared.centre, rng)
    offsets = _offsets(parts, about, state.points)
    turning = list(zip(about.cars, offsets, strict=True)) if cars_turn else []
    cars = [Ellipse.of(car.scatter, offset, rng) for car, offset in turning]
    level = state.prior + np.sum(state.by_car, axis=1)
    level -= sum(one.log_density() for one in (shared, *cars))
    turns = Turns(level - rng.exponential(size=len(level)), rng)
    while len(turns.active):
        at, angle = turns.active, turns.angle_rad[turns.active]
        away = shared.turned(at, angle)
        turned = [one.turned(at, angle) for one in cars]
        trial = state.points[at].copy()
        trial[:, parts.shared] = about.shared.centre + away
        for number, (part, car) in enumerate(zip(parts.cars, about.cars, strict=True)):
            rest = turned[number] if cars_turn else offsets[number][at]
            trial[:, part] = car.centre + away @ car.slopes.T + rest
        prior, by_car = parts.log_densities(trial)
        value = prior + np.sum(by_car, axis=1) - about.shared.log_density(trial[:, parts.shared])
        value -= sum(one.about.log_density(x) for one, x in zip(cars, turned, strict=True))
        good = turns.narrow(value)
        state.points[at[good]] = trial[good]
        state.prior[at[good]], state.by_car[at[good]] = prior[good], by_car[good]


def _offsets(parts: Parts, about: NestedProposal, points: Floats) -> list[Floats]:
    """Return how far each part is from where it usually is, given what is shared."""
    away = points[:, parts.shared] - about.shared.centre
    return [
        points[:, part] - car.centre - away @ car.slopes.T
        for part, car in zip(parts.cars, about.cars, strict=True)
    ]


def _move_cars(
    parts: Parts, about: NestedProposal, state: _State, rng: np.random.Generator
) -> None:
    """Move every part by itself, given what is shared, all in the same batches."""
    offsets = _offsets(parts, about, state.points)
    ellipses, turns = [], []
    for number, (car, offset) in enumerate(zip(about.cars, offsets, strict=True)):
        ellipses.append(Ellipse.of(car.scatter, offset, rng))
        level = state.by_car[:, number] - ellipses[-1].log_density()
        turns.append(Turns(level - rng.exponential(size=len(level)), rng))
    place = np.zeros(len(state.points), dtype=np.intp)
    while any(len(one.active) for one in turns):
        rows = np.unique(np.concatenate([one.active for one in turns]))
        place[rows] = np.arange(len(rows))
        trial, turned = state.points[rows].copy(), []
        for number, part in enumerate(parts.cars):
            at = turns[number].active
            turned.append(ellipses[number].turned(at, turns[number].angle_rad[at]))
            trial[np.ix_(place[at], part)] += turned[-1] - offsets[number][at]
        _, by_car = parts.log_densities(trial)
        for number, part in enumerate(parts.cars):
            at = turns[number].active
            found = by_car[place[at], number]
            scatter = about.cars[number].scatter
            good = turns[number].narrow(found - scatter.log_density(turned[number]))
            chosen = at[good]
            state.points[np.ix_(chosen, part)] = trial[np.ix_(place[chosen], part)]
            state.by_car[chosen, number] = found[good]
