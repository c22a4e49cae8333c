"""Textbook statistics of runs: what the model is held against, and what it does not need."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

REPEATABILITY_FACTOR: Final = 2.8
"""Repeatability limit over standard deviation, ISO 5725-6:1994, 4.1.4 (1.96 √2, rounded up)."""

_EXACT_PAIRS: Final = 20


@dataclass(frozen=True, slots=True)
class OneWay:
    """One-way analysis of variance.

    Attributes
    ----------
    between_sum, within_sum
        Sums of squares between and within groups.
    between_freedom, within_freedom
        Their degrees of freedom.
    f
        Ratio of the mean squares; infinite where nothing varies within groups.
    within_sd
        Standard deviation within groups: the repeatability pooled over them.
    between_sd
        Standard deviation of the groups' true means; 0 where the estimate is negative.
    """

    between_sum: float
    within_sum: float
    between_freedom: int
    within_freedom: int
    f: float
    within_sd: float
    between_sd: float


def mean_and_sd(values: Sequence[float]) -> tuple[float, float]:
    """Return mean and standard deviation; the latter is NaN for a single value.

    Notes
    -----
    Corrected two-pass algorithm (Chan, Golub and LeVeque 1983, American Statistician 37,
    242-247), since times are large beside their spread.
    """
    mean = math.fsum(values) / len(values)
    mean += math.fsum(value - mean for value in values) / len(values)
    if len(values) < 2:
        return mean, math.nan
    square = math.fsum((value - mean) ** 2 for value in values)
    return mean, math.sqrt(square / (len(values) - 1))


def lag_one_correlation(values: Sequence[float]) -> float:
    """Return the correlation of each run with the next: a drift shows as a positive one.

    Notes
    -----
    r₁ = Σ (y_i − ȳ)(y_{i−1} − ȳ)/Σ (y_i − ȳ)², as certified in the NIST StRD univariate sets.
    """
    mean, _ = mean_and_sd(values)
    off = [value - mean for value in values]
    return math.fsum(a * b for a, b in itertools.pairwise(off)) / math.fsum(a * a for a in off)


def one_way(groups: Sequence[Sequence[float]]) -> OneWay:
    """Return the analysis of variance of groups, such as the runs of several cars.

    Parameters
    ----------
    groups
        Two or more groups with values, at least one of them with two.

    Notes
    -----
    s_b² = (MSB − MSW)/n₀ with n₀ = (N − Σ n²/N)/(k − 1), which for groups of one size is the
    estimate of restricted likelihood (Searle, Casella and McCulloch, Variance Components,
    1992, chapter 3). Values are taken off a common centre first, which keeps digits.
    """
    groups = [group for group in groups if len(group) > 0]
    total, count = sum(len(group) for group in groups), len(groups)
    if count < 2 or total <= count:
        raise ValueError("two groups are needed, one of them with two values")
    centre = float(groups[0][0])
    centred = [[value - centre for value in group] for group in groups]
    means = [mean_and_sd(group)[0] for group in centred]
    grand, _ = mean_and_sd([value for group in centred for value in group])
    between = math.fsum(
        len(group) * (mean - grand) ** 2 for group, mean in zip(centred, means, strict=True)
    )
    within = math.fsum(
        (value - mean) ** 2 for group, mean in zip(centred, means, strict=True) for value in group
    )
    between_mean, within_mean = between / (count - 1), within / (total - count)
    size = (total - sum(len(group) ** 2 for group in groups) / total) / (count - 1)
    return OneWay(
        between_sum=between,
        within_sum=within,
        between_freedom=count - 1,
        within_freedom=total - count,
        f=between_mean / within_mean if within_mean > 0.0 else math.inf,
        within_sd=math.sqrt(within_mean),
        between_sd=math.sqrt(max(0.0, (between_mean - within_mean) / size)),
    )


def critical_range(spread_s: float, runs: int) -> float:
    """Return the range that `runs` clean runs of one car exceed only once in twenty.

    Notes
    -----
    f(n) s_r with f the 95 % point of the range of n standard normal values, ISO 5725-6:1994,
    table 1.
    """
    from scipy import stats

    if runs < 2:
        raise ValueError(f"{runs} runs have no range; two are needed")
    return float(stats.studentized_range.ppf(0.95, runs, np.inf)) * spread_s


def paired_t(first: Sequence[float], second: Sequence[float]) -> tuple[float, float]:
    """Return Student's t and its two-sided p of pairs, the first less the second."""
    from scipy import stats

    mean, sd = mean_and_sd([a - b for a, b in zip(first, second, strict=True)])
    t = mean / (sd / math.sqrt(len(first)))
    return t, float(2.0 * stats.t.sf(abs(t), len(first) - 1))


def sign_flip(first: Sequence[float], second: Sequence[float]) -> float:
    """Return the exact two-sided p of pairs under swapping the members of any of them.

    Notes
    -----
    All 2ⁿ ways of giving the differences their signs are equally likely if the members of a
    pair do not differ (Fisher, The Design of Experiments, 1935, section 21). At most 20 pairs.
    """
    differences = np.array([a - b for a, b in zip(first, second, strict=True)])
    if len(differences) > _EXACT_PAIRS:
        raise ValueError(f"{len(differences)} pairs are too many; at most {_EXACT_PAIRS}")
    sums = np.zeros(1)
    for difference in differences:
        sums = np.concatenate([sums - difference, sums + difference])
    seen = abs(float(differences.sum()))
    return float(np.mean(np.abs(sums) >= seen - 1e-9 * max(seen, 1e-300)))
