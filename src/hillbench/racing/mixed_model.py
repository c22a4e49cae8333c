"""A linear model with groups whose effects scatter about zero, by restricted likelihood."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize
from scipy.sparse import csr_array, hstack

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_LEAST_RATIO: Final = 1e-6
_MOST_RATIO: Final = 1e4


@dataclass(frozen=True, slots=True)
class Group:
    """A way in which the observations fall into levels.

    Attributes
    ----------
    name
        What it is.
    level
        Level of each observation, from 0.
    levels
        Number of levels.
    likely_ratio
        Most likely ratio of the spread of its effects to that of the observations, which
        makes the prior proper; None for plain restricted likelihood.
    """

    name: str
    level: Ints
    levels: int
    likely_ratio: float | None = None


@dataclass(frozen=True, slots=True)
class MixedFit:
    """What the model says.

    Attributes
    ----------
    fixed
        Coefficients of the columns.
    effects
        Predicted effects of each group.
    covariance
        Of the coefficients and all effects, in this order, the spreads taken as known.
    group_sd
        Standard deviation of the effects of each group.
    residual_sd
        Standard deviation of an observation of weight 1.
    criterion
        Restricted deviance, −2 log likelihood, at the estimate and without the prior.
    residual
        Observation less its fitted value.
    fitted_variance
        Variance of each fitted value.
    """

    fixed: Floats
    effects: tuple[Floats, ...]
    covariance: Floats
    group_sd: tuple[float, ...]
    residual_sd: float
    criterion: float
    residual: Floats
    fitted_variance: Floats


class _Equations:
    """Weighted cross products, made once for each set of weights."""

    def __init__(
        self, observed: Floats, columns: Floats, groups: Sequence[Group], weight: Floats
    ) -> None:
        count = len(observed)
        self.design = _design(columns, groups)
        weighted = csr_array(self.design.multiply(weight[:, None]))
        self.product = (self.design.T @ weighted).toarray()
        self.right = weighted.T @ observed
        self.square = float(weight @ observed**2)
        self.log_weight = float(np.log(weight).sum())
        self.count, self.columns = count, columns.shape[1]
        self.owner = np.repeat(np.arange(len(groups)), [group.levels for group in groups])

    def scale(self, ratios: Floats) -> Floats:
        return np.concatenate([np.ones(self.columns), ratios[self.owner]])

    def solve(self, ratios: Floats) -> tuple[Floats, Floats, float]:
        """Return inverse and solution of the scaled equations, and the log determinant."""
        scale = self.scale(ratios)
        matrix = scale[:, None] * self.product * scale
        effects = np.arange(self.columns, len(scale))
        matrix[effects, effects] += 1.0
        # NumPy's algebra only: SciPy's would bring threads of its own, and the two pools wait
        # for each other. The unit diagonal keeps the inverse well conditioned.
        inverse = np.linalg.inv(matrix)
        logarithm = 2.0 * float(np.log(np.diag(np.linalg.cholesky(matrix))).sum())
        return inverse, inverse @ (scale * self.right), logarithm

    def left(self, ratios: Floats, solution: Floats) -> float:
        """Return the penalised sum of squares that the solution leaves."""
        return max(self.square - float((self.scale(ratios) * self.right) @ solution), 0.0)

    def criterion(self, ratios: Floats, floor: float) -> tuple[float, Floats]:
        """Return the restricted deviance and its slope in the ratios."""
        inverse, solution, logarithm = self.solve(ratios)
        scale = self.scale(ratios)
        free = self.count - self.columns
        left = max(self.left(ratios, solution) + floor, 1e-300)
        value = logarithm - self.log_weight
        value += free * (1.0 + math.log(2.0 * math.pi * left / free))
        through = self.product * scale
        # d log|M| = 2 tr(E P S M⁻¹), d left = -2 x·E (r - P S x), E picking the group.
        logs = 2.0 * np.einsum("ij,ji->i", through, inverse)
        squares = -2.0 * solution * (self.right - through @ solution)
        each = (logs + free / left * squares)[self.columns :]
        slope = np.bincount(self.owner, each, minlength=len(ratios))
        return value, slope.astype(np.float64)


def _design(columns: Floats, groups: Sequence[Group]) -> csr_array[np.float64]:
    count = len(columns)
    rows = np.arange(count)
    parts = [csr_array(columns)] + [
        csr_array((np.ones(count), (rows, group.level)), shape=(count, group.levels))
        for group in groups
    ]
    return csr_array(hstack(parts))


def posterior_at(
    observed: Floats, groups: Sequence[Group], group_sd: Sequence[float], variance: Floats
) -> tuple[Floats, Floats]:
    """Return a mean and all effects, and their covariance, the spreads taken as known.

    Parameters
    ----------
    observed
        Observations, shape (n,).
    groups
        The groups.
    group_sd
        Standard deviation of the effects of each, above 0.
    variance
        Of each observation, shape (n,).
    """
    design = _design(np.ones((len(observed), 1)), groups)
    weighted = csr_array(design.multiply(1.0 / variance[:, None]))
    precision = (design.T @ weighted).toarray()
    own = np.repeat(np.array(group_sd) ** -2.0, [group.levels for group in groups])
    precision[np.arange(1, len(precision)), np.arange(1, len(precision))] += own
    covariance = np.asarray(np.linalg.inv(precision))
    middle = float(observed.mean())
    effects = covariance @ (weighted.T @ (observed - middle))
    effects[0] += middle
    return effects, covariance


def fit_mixed(
    observed: Floats,
    columns: Floats,
    groups: Sequence[Group],
    weight: Floats | None = None,
    *,
    least_sd: float = 0.0,
    start: Sequence[float] | None = None,
    most_steps: int = 200,
) -> MixedFit:
    """Fit the model; groups need not be nested.

    Parameters
    ----------
    observed
        Observations, shape (n,).
    columns
        Known columns of the design, shape (n, p) of rank p < n.
    groups
        One or more groups.
    weight
        Weights of the observations, positive; 1 by default.
    least_sd
        Standard deviation that each observation has at least, such as that of its rounding.
    start
        Ratios of the spreads to start from.
    most_steps
        Steps of the search at most; few are enough inside another iteration.

    Notes
    -----
    Restricted likelihood, profiled over coefficients and residual variance (D. Bates et al.,
    Fitting linear mixed-effects models using lme4, Journal of Statistical Software 67(1)
    (2015), eq. 41, doi:10.18637/jss.v067.i01). A group with a likely ratio has the prior
    gamma(2) with its mode there on that ratio, which keeps a spread off zero when few levels
    cannot tell (Y. Chung et al., A nondegenerate penalized likelihood estimator for variance
    parameters in multilevel models, Psychometrika 78 (2013), 685-709).
    """
    weights = np.ones(len(observed)) if weight is None else weight
    middle = float(np.average(observed, weights=weights))
    # About the middle, so that squares of times do not drown the squares of differences.
    shift = np.linalg.lstsq(columns, np.full(len(observed), middle), rcond=None)[0]
    equations = _Equations(observed - columns @ shift, columns, groups, weights)
    floor = len(observed) * least_sd**2

    def target(ratios: Floats) -> tuple[float, Floats]:
        value, slope = equations.criterion(ratios, floor)
        for place, group in enumerate(groups):
            if group.likely_ratio is not None:
                value -= 2.0 * (math.log(ratios[place]) - ratios[place] / group.likely_ratio)
                slope[place] -= 2.0 * (1.0 / ratios[place] - 1.0 / group.likely_ratio)
        return value, slope

    begin = [group.likely_ratio or 1.0 for group in groups] if start is None else list(start)
    bounds = [(0.0 if g.likely_ratio is None else _LEAST_RATIO, _MOST_RATIO) for g in groups]
    found = minimize(
        target,
        np.array(begin),
        jac=True,
        method="L-BFGS-B",
        bounds=bounds,
        options={"ftol": 1e-13, "gtol": 1e-7, "maxiter": most_steps},
    )
    value, _ = equations.criterion(found.x, floor)
    return _fit_at(equations, groups, found.x, floor, (observed, shift, columns @ shift, value))


def _fit_at(
    equations: _Equations,
    groups: Sequence[Group],
    ratios: Floats,
    floor: float,
    rest: tuple[Floats, Floats, Floats, float],
) -> MixedFit:
    observed, shift, shifted, value = rest
    inverse, solution, _ = equations.solve(ratios)
    scale = equations.scale(ratios)
    variance = (equations.left(ratios, solution) + floor) / (equations.count - equations.columns)
    covariance = variance * scale[:, None] * inverse * scale
    coefficients = scale * solution
    ends = np.cumsum([equations.columns, *(group.levels for group in groups)])
    through = equations.design @ covariance
    sd = math.sqrt(variance)
    return MixedFit(
        coefficients[: equations.columns] + shift,
        tuple(coefficients[a:b] for a, b in itertools.pairwise(ends)),
        covariance,
        tuple(float(ratio) * sd for ratio in ratios),
        sd,
        value,
        observed - shifted - equations.design @ coefficients,
        np.asarray(equations.design.multiply(through).sum(axis=1)).ravel(),
    )
