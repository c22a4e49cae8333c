"""Counts as fractions: a bound at once, and which classes no plan near it uses.

Linear programming bound and reduced-cost fixing (G. L. Nemhauser, L. A. Wolsey, Integer and
Combinatorial Optimization, 1988, II.5.1). Bound and prices are computed anew from the
multipliers, which need not be optimal for them to hold, so that no tolerance of the linear
solver enters a proof.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.balance import MASS_BAND_MG
from hillbench.ballast.loads import Loads, band_moment
from hillbench.ballast.places import Posed
from hillbench.ballast.rows import Rows

Floats = NDArray[np.float64]

_MOST_NUMBERS = 12_000_000
"""Numbers in the rows beyond which fractions would take longer than they save."""

_ROUNDING = 1e-5
"""Bands by which the sums of floats may be off; they are right to 1e-9."""


@dataclass(frozen=True, slots=True, eq=False)
class Relaxation:
    """What fractions say of one level.

    Attributes
    ----------
    bound
        Value, in bands and with its fraction, that no counts better.
    prices
        By how much one more piece of each class raises it at least.
    """

    bound: float
    prices: Floats

    @property
    def least(self) -> int:
        """Least whole value."""
        return max(math.floor(self.bound - _ROUNDING), 0)

    def kept(self, ceiling: int) -> NDArray[np.bool_]:
        """Return which classes may occur where the value is at most the ceiling."""
        kept: NDArray[np.bool_] = self.prices < ceiling + 1 - self.bound + _ROUNDING
        return kept


def relax(
    problem: Posed, rows: Rows, loads: Loads, level: Level, settled: Settled
) -> Relaxation | None:
    """Return the bound of fractional counts; None where there is none to be had.

    Parameters
    ----------
    problem
        What is allowed.
    rows
        What counts must keep to.
    loads
        What they weigh.
    level
        ``MASS``, or another, for which the height is bounded once the mass is settled.
    settled
        Bounds of the levels before.
    """
    if not problem.places or rows.matrix.size > _MOST_NUMBERS:
        return None
    matrix, limits = _constraints(problem, rows, loads, settled)
    aim, start = _aim(problem, loads, level, settled)
    from scipy.optimize import linprog

    answer: Any = linprog(aim, A_ub=matrix, b_ub=limits, method="highs")
    if answer.status != 0:
        return None
    multipliers = np.maximum(-answer.ineqlin.marginals, 0.0)
    prices = aim + multipliers @ matrix
    free = np.minimum(prices, 0.0) @ loads.most
    size = len(problem.places)
    return Relaxation(float(start - multipliers @ limits + free), prices[:size])


def _aim(problem: Posed, loads: Loads, level: Level, settled: Settled) -> tuple[Floats, float]:
    """Return what is made least, in bands."""
    balance = problem.balance
    if level is Level.MASS or settled.short is None:
        return -loads.mass / MASS_BAND_MG, balance.room_mg / MASS_BAND_MG
    nominal = balance.nominal_mg(settled.short)
    return loads.height / nominal, balance.fixed_moments[2] / nominal


def _constraints(
    problem: Posed, rows: Rows, loads: Loads, settled: Settled
) -> tuple[Floats, Floats]:
    balance, size = problem.balance, len(problem.places)
    wide = np.zeros((len(rows.limits) + len(loads.dabs), size + len(loads.dabs)))
    wide[: len(rows.limits), :size] = rows.matrix
    for number, index in enumerate(loads.dabs):
        wide[len(rows.limits) + number, [index, size + number]] = -loads.most[size + number], 1
    more = [(loads.mass, balance.room_mg)]
    if settled.short is not None:
        heaviest = balance.room_mg - MASS_BAND_MG * settled.short
        more = [(loads.mass, heaviest), (-loads.mass, MASS_BAND_MG - 1 - heaviest)]
    if settled.outside == 0 or (settled.short is not None and settled.outside is not None):
        slack = band_moment(balance, settled.short or 0) * settled.outside
        more += [(row, limit + slack) for row, limit in loads.balance_rows(balance)]
    matrix = np.vstack([wide, *(row for row, _ in more)])
    limits = np.concatenate(
        [rows.limits, np.zeros(len(loads.dabs)), [float(limit) for _, limit in more]]
    )
    scale = np.maximum(np.abs(matrix).max(axis=1), 1.0)
    return matrix / scale[:, None], limits / scale
