"""Repeatability of a track's runs, and the best time yet to come."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hillbench.errors import InvalidInput, Problem
from hillbench.timing.run import RunNote, TimedRun
from hillbench.timing.textbook import REPEATABILITY_FACTOR, critical_range, one_way


@dataclass(frozen=True, slots=True)
class Repeatability:
    """How well clean runs of one car in one outing repeat, pooled over cars and outings.

    Attributes
    ----------
    spread_s
        Repeatability standard deviation s_r, s.
    freedom
        Its degrees of freedom.
    between_s
        Standard deviation between the true times of car and outing, s; 0 where runs do not
        tell them apart.
    """

    spread_s: float
    freedom: int
    between_s: float

    @property
    def limit_s(self) -> float:
        """Repeatability limit: two runs of one car differ by more only once in twenty."""
        return REPEATABILITY_FACTOR * self.spread_s

    def interval_s(self) -> tuple[float, float]:
        """Return the 90 % interval of the spread, s.

        Notes
        -----
        s √(ν/χ²) with the 5 and 95 % points of χ² on ν degrees of freedom, for normal runs
        (NIST/SEMATECH, e-Handbook of Statistical Methods, section 7.2.3.1).
        """
        from scipy.special import chdtri

        low, high = (
            self.spread_s * math.sqrt(self.freedom / float(chdtri(self.freedom, share)))
            for share in (0.05, 0.95)
        )
        return low, high

    def critical_range_s(self, runs: int) -> float:
        """Return the range that `runs` runs of one car exceed only once in twenty, s."""
        return critical_range(self.spread_s, runs)


def repeatability(runs: Sequence[TimedRun]) -> Repeatability:
    """Return the repeatability of the runs noted as clean.

    Raises
    ------
    InvalidInput
        If there are fewer than two groups of car and outing, or none has two runs.

    Notes
    -----
    ISO 5725-2:1994, 7.4: pooled variance within cells. It trusts that runs noted as clean are
    clean; `hillbench.timing.compare` gives the spread where some may not be.
    """
    groups: dict[tuple[str, str | None], list[float]] = {}
    for run in runs:
        if run.time_s is not None and run.note is RunNote.CLEAN:
            groups.setdefault((run.car, run.outing), []).append(run.time_s)
    if len(groups) < 2 or max(len(group) for group in groups.values()) < 2:
        seen = f"of {len(groups)} car and outing"
        allowed = "clean runs of two cars or outings, one of them run twice"
        raise InvalidInput([Problem("runs", seen, allowed, "run again")])
    table = one_way(list(groups.values()))
    return Repeatability(table.within_sd, table.within_freedom, table.between_sd)


def best_to_expect(typical_s: float, spread_s: float, best_s: float, more_runs: int) -> float:
    """Return the expected best time after more clean runs.

    Parameters
    ----------
    typical_s, spread_s
        Typical time and standard deviation of one clean run, s.
    best_s
        Best time so far, s.
    more_runs
        Clean runs to come, 0 or more.

    Notes
    -----
    E min(b, Y₁ … Y_k) = b − ∫_{−∞}^b [1 − (1 − Φ((y − μ)/σ))^k] dy, by the trapezoidal rule.
    """
    from scipy.special import ndtr

    if more_runs < 1 or spread_s <= 0.0:
        return best_s
    low = min(best_s, typical_s) - 10.0 * spread_s
    y = np.linspace(low, best_s, 4001)
    below = 1.0 - ndtr(-(y - typical_s) / spread_s) ** more_runs
    return best_s - float(np.trapezoid(below, y))
