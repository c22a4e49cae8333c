"""Whether cars differ at all: the F test, with lanes, outings and drift taken out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hillbench.errors import InvalidInput, Problem
from hillbench.timing.design import Column, Floats, build_design
from hillbench.timing.prior import prior_for
from hillbench.timing.run import TimedRun


@dataclass(frozen=True, slots=True)
class CarTest:
    """Least squares with cars, against least squares without.

    Attributes
    ----------
    f, p
        F ratio, and the probability of one as large if the cars do not differ.
    cars_freedom, rest_freedom
        Degrees of freedom.
    rest_sd
        Standard deviation of what is left.
    """

    f: float
    p: float
    cars_freedom: int
    rest_freedom: int
    rest_sd: float


def cars_differ(runs: Sequence[TimedRun]) -> CarTest:
    """Return the F test of the cars, the textbook second opinion on many cars.

    Raises
    ------
    InvalidInput
        If there are too few runs to tell cars from scatter.

    Notes
    -----
    F = ((R₀ − R₁)/q)/(R₁/(n − p)) with R₀, R₁ the sums of squares left without and with the
    cars (Draper and Smith, Applied Regression Analysis, 3rd ed. 1998, section 6.1). It knows
    no bad runs.
    """
    from scipy import stats

    times = [run.time_s for run in runs if run.time_s is not None]
    if not times:
        raise InvalidInput([Problem("runs", "none with a time", "timed runs of two cars or more")])
    design = build_design(runs, prior_for(float(np.median(times))))
    without, rank_without = _left(
        [column for column in design.columns if column.kind != "car"], design.time_s
    )
    left, rank = _left(design.columns, design.time_s)
    cars, rest = rank - rank_without, len(times) - rank
    if cars < 1 or rest < 1 or left <= 0.0:
        seen = f"{len(times)} of them for {rank} unknowns"
        raise InvalidInput([Problem("runs", seen, "more runs than unknowns, of two cars or more")])
    f = (without - left) / cars / (left / rest)
    return CarTest(f, float(stats.f.sf(f, cars, rest)), cars, rest, float(np.sqrt(left / rest)))


def _left(columns: Sequence[Column], time_s: Floats) -> tuple[float, int]:
    """Return the sum of squares left by least squares, and the rank of the columns."""
    matrix = np.stack([column.values for column in columns], axis=1)
    centred = time_s - time_s.mean()
    coefficients, _, rank, _ = np.linalg.lstsq(matrix, centred, rcond=None)
    rest = centred - matrix @ coefficients
    return float(rest @ rest), int(rank)
