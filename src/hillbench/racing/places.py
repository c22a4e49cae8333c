"""Who is best where only places count: Bradley-Terry for two, Plackett-Luce for more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from hillbench.errors import InvalidInput, Problem

Floats = npt.NDArray[np.float64]

ABILITY_SD: Final = 1.5
"""Spread of abilities before any race, in log odds."""

LANE_SD: Final = 0.5
"""Spread of the lanes before any race, in log odds."""

_STEPS: Final = 100
_DRAWS: Final = 20_000


@dataclass(frozen=True, slots=True)
class Order:
    """The order in which the cars of a heat came in.

    Attributes
    ----------
    cars
        Car numbers, those that finished first and in their order, then those that did not.
    lanes
        Lane of each; empty where lanes do not count.
    finished
        How many finished; all where None.
    weight
        How much it counts; a dead heat is both orders with half the weight each.
    """

    cars: tuple[int, ...]
    lanes: tuple[int, ...] = ()
    finished: int | None = None
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class PlaceResult:
    """What places say.

    Attributes
    ----------
    cars, lanes
        Car and lane numbers, in the order of the arrays.
    ability, lane_effect
        In log odds; each sums to 0 under a prior.
    covariance
        Of abilities and lane effects together.
    best_probability
        Probability of each car to be the best.
    log_likelihood
        Of the orders at the estimate, without the prior.
    """

    cars: tuple[int, ...]
    lanes: tuple[int, ...]
    ability: Floats
    lane_effect: Floats
    covariance: Floats
    best_probability: Floats
    log_likelihood: float

    def ranking(self) -> tuple[int, ...]:
        """Return the car numbers, the best first."""
        return tuple(self.cars[at] for at in np.argsort(-self.ability, kind="stable"))


def rank_by_place(
    orders: Sequence[Order],
    *,
    rng: np.random.Generator,
    ability_sd: float | None = ABILITY_SD,
    lane_sd: float | None = LANE_SD,
) -> PlaceResult:
    """Rank cars by the orders in which they came in.

    Parameters
    ----------
    orders
        One for each heat.
    rng
        Source of randomness for the odds.
    ability_sd, lane_sd
        Spread before any race, in log odds; None for plain maximum likelihood, which exists
        only if the cars cannot be split so that one part never lost to the other.

    Raises
    ------
    InvalidInput
        If there is no order of two cars, or plain maximum likelihood does not exist.

    Notes
    -----
    The first is any car with probability e^a / Σ e^a over those in the heat, the second
    likewise over those left (R. L. Plackett, The analysis of permutations, Applied Statistics
    24 (1975), 193-202); for two cars that is R. A. Bradley and M. E. Terry, Rank analysis of
    incomplete block designs, Biometrika 39 (1952), 324-345. A lane adds to the ability, as
    playing at home does in A. Agresti, Categorical Data Analysis, section 10.6. Mode by
    Newton's method, odds by draws from the normal distribution about it.
    """
    cars = tuple(sorted({car for order in orders for car in order.cars}))
    lanes = tuple(sorted({lane for order in orders for lane in order.lanes}))
    if len(cars) < 2:
        raise InvalidInput([Problem("places", "no race of two cars", "one or more")])
    stages = _stages(orders, cars, lanes)
    precision = np.concatenate(
        [np.full(len(cars), _precision(ability_sd)), np.full(len(lanes), _precision(lane_sd))]
    )
    mode, hessian, log_likelihood = _climb(stages, precision)
    count = len(cars)
    covariance = np.linalg.pinv(hessian, hermitian=True)
    values, vectors = np.linalg.eigh(covariance[:count, :count])
    noise = rng.standard_normal((_DRAWS, count)) @ (vectors * np.sqrt(np.maximum(values, 0.0))).T
    wins = np.bincount(np.argmax(mode[:count] + noise, axis=1), minlength=count)
    best = wins.astype(np.float64) / _DRAWS
    return PlaceResult(
        cars,
        lanes,
        mode[:count],
        mode[count:],
        np.asarray(covariance, dtype=np.float64),
        best,
        log_likelihood,
    )


def _precision(sd: float | None) -> float:
    return 0.0 if sd is None else sd**-2


Stages = list[tuple[Floats, float]]


def _stages(orders: Sequence[Order], cars: Sequence[int], lanes: Sequence[int]) -> Stages:
    """Return, for each place won, the predictors of those it was won from, the winner first."""
    column = {car: at for at, car in enumerate(cars)}
    lane_column = {lane: len(cars) + at for at, lane in enumerate(lanes)}
    stages = []
    for order in orders:
        rows = np.zeros((len(order.cars), len(cars) + len(lanes)))
        rows[np.arange(len(order.cars)), [column[car] for car in order.cars]] = 1.0
        for place, lane in enumerate(order.lanes):
            rows[place, lane_column[lane]] = 1.0
        finished = len(order.cars) if order.finished is None else order.finished
        last = min(finished, len(order.cars) - 1)
        stages += [(rows[place:], order.weight) for place in range(last)]
    return stages


def _climb(stages: Stages, precision: Floats) -> tuple[Floats, Floats, float]:
    """Return the mode, the negative Hessian there and the log likelihood there."""
    mode = np.zeros(len(precision))
    value, gradient, hessian, likelihood = _slope(stages, precision, mode)
    for _ in range(_STEPS):
        step = np.linalg.lstsq(hessian, gradient, rcond=1e-12)[0]
        size = 1.0
        while True:
            ahead = _slope(stages, precision, mode + size * step)
            if ahead[0] >= value - 1e-12 or size < 1e-6:
                break
            size /= 2.0
        mode = mode + size * step
        value, gradient, hessian, likelihood = ahead
        if float(np.max(np.abs(size * step))) < 1e-10:
            return mode, hessian, likelihood
        if float(np.max(np.abs(mode))) > 30.0:
            break
    raise InvalidInput(
        [Problem("places", "some cars never lost to the others", "a prior, or more races")]
    )


def _slope(stages: Stages, precision: Floats, mode: Floats) -> tuple[float, Floats, Floats, float]:
    likelihood = 0.0
    gradient = -precision * mode
    hessian = np.diag(precision)
    for rows, weight in stages:
        predictor = rows @ mode
        top = float(predictor.max())
        share = np.exp(predictor - top)
        total = float(share.sum())
        share /= total
        likelihood += weight * float(predictor[0] - top - np.log(total))
        mean = share @ rows
        gradient += weight * (rows[0] - mean)
        hessian += weight * (rows.T @ (share[:, None] * rows) - np.outer(mean, mean))
    return likelihood - 0.5 * float(precision @ mode**2), gradient, hessian, likelihood
