"""Whether a round of work on a bearing gained anything: two tests of one wheel compared."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from hillbench.coasting.spin_series import SpinSeries

USUAL_SPREAD: Final = 0.08
"""Usual standard deviation of the logarithm of the friction from spin to spin: common practice,
no source."""

USUAL_WEIGHT: Final = 3.0
"""Degrees of freedom that the usual scatter counts for: spins soon outweigh it."""

SURE: Final = 0.95
"""Probability from which on a change is called measurable."""

MOST_MORE_SPINS: Final = 30


@dataclass(frozen=True, slots=True)
class Scatter:
    """How a friction scatters from spin to spin.

    Attributes
    ----------
    spread
        Standard deviation of its logarithm.
    degrees_of_freedom
        How well that is known.
    """

    spread: float
    degrees_of_freedom: float


class RoundVerdict(StrEnum):
    """What is said of a round."""

    GAINED = "gained"
    STOP = "stop here"
    WORSE = "worse"
    UNSURE = "unsure"


@dataclass(frozen=True, slots=True)
class RoundChange:
    """What a round changed.

    Attributes
    ----------
    ratio, ratio_low, ratio_high
        Friction afterwards over before, and its 90 % interval.
    probability_gained
        Chance that the friction fell at all.
    probability_matters
        Chance that it fell by more than what matters.
    expected_gain
        Mean fall of the logarithm of the friction, counting a rise as nothing: what another
        round like this one may be hoped to gain.
    verdict
        What follows.
    spins_still_needed
        More spins of the test afterwards until it can be said, should it come out the same;
        0 where it can, None where no number of them would do.
    """

    ratio: float
    ratio_low: float
    ratio_high: float
    probability_gained: float
    probability_matters: float
    expected_gain: float
    verdict: RoundVerdict
    spins_still_needed: int | None


def pool_scatter(
    tests: Iterable[Sequence[float]],
    usual_spread: float = USUAL_SPREAD,
    usual_weight: float = USUAL_WEIGHT,
) -> Scatter:
    """Return the scatter from spin to spin, from all tests together.

    Parameters
    ----------
    tests
        Logarithms of the friction from each spin, for each test.
    usual_spread, usual_weight
        What is believed beforehand, and for how many degrees of freedom it counts; 0 for
        nothing.

    Notes
    -----
    Pooled variance with a scaled inverse chi-square prior, which is conjugate: s² = (ν₀ s₀² +
    Σ(x − x̄)²)/(ν₀ + Σ(n − 1)) (A. Gelman et al., "Bayesian Data Analysis", 3rd ed., section
    2.6). One spin then says something of the change too, honestly little.
    """
    squares, freedom = usual_weight * usual_spread**2, usual_weight
    for test in tests:
        mean = math.fsum(test) / len(test)
        squares += math.fsum((value - mean) ** 2 for value in test)
        freedom += len(test) - 1
    if not freedom > 0.0:
        raise ValueError("one spin of each test alone tells nothing of the scatter")
    return Scatter(math.sqrt(squares / freedom), freedom)


def judge_round(
    before: SpinSeries, after: SpinSeries, scatter: Scatter, matters: float
) -> RoundChange:
    """Return what a round changed and whether another one is worth it.

    Parameters
    ----------
    before, after
        Tests of the same wheel before and after the round.
    scatter
        From spin to spin.
    matters
        Relative fall of the friction below which nobody cares, 0 to 1.

    Notes
    -----
    Inertia, diameters and a start speed taken in the same way are in both frictions by the same
    factor, so that they drop out of the ratio, however badly they are known. What is left is
    the scatter of the means, s²(1/n₁ + 1/n₂), and what each test has to itself. The logarithm of
    the ratio follows Student's t with degrees of freedom by Welch and Satterthwaite (JCGM
    100:2008, G.4.1).

    Another round gains no more than the last one did, as a rule (common practice, no source):
    it is worth its trouble where the mean of what the last one gained, a loss counted as
    nothing, is more than what matters. So few or rough spins do not
    stop anybody who may yet gain; they ask for more spins, until the gain is measurable or too
    small in the mean. The spins before cannot be made again: more spins shrink only their part.
    """
    off = after.mean_log_friction - before.mean_log_friction
    fixed = _fixed_variance(before, after)
    counts = (len(before.log_frictions), len(after.log_frictions))
    spread, freedom = _spread(scatter, fixed, *counts)
    reach = spread * _quantile(freedom, 0.95)
    least = -math.log1p(-matters)
    return RoundChange(
        ratio=math.exp(off),
        ratio_low=math.exp(off - reach),
        ratio_high=math.exp(off + reach),
        probability_gained=_below(0.0, off, spread, freedom),
        probability_matters=_below(-least, off, spread, freedom),
        expected_gain=_hoped_for(off, spread, freedom),
        verdict=_verdict(off, least, spread, freedom),
        spins_still_needed=_still_needed(off, least, scatter, fixed, counts),
    )


def _verdict(off: float, least: float, spread: float, freedom: float) -> RoundVerdict:
    gained = _below(0.0, off, spread, freedom)
    if gained <= 1.0 - SURE:
        return RoundVerdict.WORSE
    if _hoped_for(off, spread, freedom) < least:
        return RoundVerdict.STOP
    return RoundVerdict.GAINED if gained >= SURE else RoundVerdict.UNSURE


def _still_needed(
    off: float, least: float, scatter: Scatter, fixed: float, counts: tuple[int, int]
) -> int | None:
    for more in range(MOST_MORE_SPINS + 1):
        spread, freedom = _spread(scatter, fixed, counts[0], counts[1] + more)
        if _verdict(off, least, spread, freedom) is not RoundVerdict.UNSURE:
            return more
    return None


def _hoped_for(off: float, spread: float, freedom: float) -> float:
    """Return the mean of the fall, a rise counted as nothing: E max(0, −off + spread·T).

    Notes
    -----
    With z = −off/spread and Student's density f and distribution F it is spread·f(z)·(ν + z²)/
    (ν − 1) − off·F(z), from ∫ t f(t) dt = −f(t)(ν + t²)/(ν − 1).
    """
    from scipy.special import gammaln, stdtr

    z = -off / spread
    log_density = (
        float(gammaln((freedom + 1.0) / 2.0) - gammaln(freedom / 2.0))
        - 0.5 * math.log(math.pi * freedom)
        - (freedom + 1.0) / 2.0 * math.log1p(z * z / freedom)
    )
    tail = math.exp(log_density) * (freedom + z * z) / (freedom - 1.0)
    return spread * tail - off * float(stdtr(freedom, z))


def _fixed_variance(before: SpinSeries, after: SpinSeries) -> float:
    own = before.own_spread**2 + after.own_spread**2
    if before.start is after.start:
        return own
    return own + before.start_spread**2 + after.start_spread**2


def _spread(scatter: Scatter, fixed: float, before: int, after: int) -> tuple[float, float]:
    """Return the standard uncertainty of the difference and its degrees of freedom."""
    random = scatter.spread**2 * (1.0 / before + 1.0 / after)
    whole = random + fixed
    return math.sqrt(whole), scatter.degrees_of_freedom * (whole / random) ** 2


def _below(limit: float, off: float, spread: float, freedom: float) -> float:
    from scipy.special import stdtr

    return float(stdtr(freedom, (limit - off) / spread))


def _quantile(freedom: float, share: float) -> float:
    from scipy.special import stdtrit

    return float(stdtrit(freedom, share))
