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

USUAL_FREEDOM: Final = 3.0
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
        More spins of each wheel in the test afterwards until it can be said, should they come out
        the same; 0 where it can, None where no number of them would do.
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
    usual_freedom: float = USUAL_FREEDOM,
) -> Scatter:
    """Return the scatter from spin to spin, from all tests together.

    Parameters
    ----------
    tests
        Logarithms of the friction from each spin, for each test.
    usual_spread, usual_freedom
        What is believed beforehand, and for how many degrees of freedom it counts; 0 for
        nothing.

    Notes
    -----
    Pooled variance with a scaled inverse chi-square prior, which is conjugate: s² = (ν₀ s₀² +
    Σ(x − x̄)²)/(ν₀ + Σ(n − 1)) (A. Gelman et al., "Bayesian Data Analysis", 3rd ed., section
    2.6). One spin then says something of the change too, honestly little.
    """
    squares, freedom = usual_freedom * usual_spread**2, usual_freedom
    for test in tests:
        mean = math.fsum(test) / len(test)
        squares += math.fsum((value - mean) ** 2 for value in test)
        freedom += len(test) - 1
    if not freedom > 0.0:
        raise ValueError("one spin of each test alone tells nothing of the scatter")
    return Scatter(math.sqrt(squares / freedom), freedom)


@dataclass(frozen=True, slots=True)
class WheelPair:
    """One wheel before and after a round.

    Attributes
    ----------
    share
        Its part in the friction of the car, more than 0.
    before, after
        Tests of it.
    """

    share: float
    before: SpinSeries
    after: SpinSeries


@dataclass(frozen=True, slots=True)
class _Difference:
    """The mean change of the logarithm of the friction, and what its variance is made of."""

    off: float
    pairs: tuple[WheelPair, ...]
    scatter: Scatter
    fixed: float

    def spread(self, more: int = 0) -> tuple[float, float]:
        """Return its standard uncertainty and degrees of freedom, after `more` spins a wheel."""
        random = self.scatter.spread**2 * math.fsum(
            pair.share**2
            * (1.0 / len(pair.before.log_frictions) + 1.0 / (len(pair.after.log_frictions) + more))
            for pair in self.pairs
        )
        whole = random + self.fixed
        return math.sqrt(whole), self.scatter.degrees_of_freedom * (whole / random) ** 2


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
    difference = _difference([WheelPair(1.0, before, after)], scatter)
    return _judged(difference, matters)


def judge_car(pairs: Sequence[WheelPair], scatter: Scatter, matters: float) -> RoundChange:
    """Return what a round changed on the wheels of a car together.

    Parameters
    ----------
    pairs
        One or more wheels that were tested before and after; their shares may add up to less
        than 1 where others were not.
    scatter, matters
        As in `judge_round`.

    Notes
    -----
    The mean of the changes, weighted with the shares; each wheel has its own scatter, so that
    four wheels tell it twice as well as one.
    """
    whole = math.fsum(pair.share for pair in pairs)
    shared = [WheelPair(pair.share / whole, pair.before, pair.after) for pair in pairs]
    return _judged(_difference(shared, scatter), matters)


def _judged(difference: _Difference, matters: float) -> RoundChange:
    off = difference.off
    spread, freedom = difference.spread()
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
        spins_still_needed=_still_needed(difference, least),
    )


def _verdict(off: float, least: float, spread: float, freedom: float) -> RoundVerdict:
    gained = _below(0.0, off, spread, freedom)
    if gained <= 1.0 - SURE:
        return RoundVerdict.WORSE
    if _hoped_for(off, spread, freedom) < least:
        return RoundVerdict.STOP
    return RoundVerdict.GAINED if gained >= SURE else RoundVerdict.UNSURE


def _still_needed(difference: _Difference, least: float) -> int | None:
    for more in range(MOST_MORE_SPINS + 1):
        if _verdict(difference.off, least, *difference.spread(more)) is not RoundVerdict.UNSURE:
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


def _difference(pairs: Sequence[WheelPair], scatter: Scatter) -> _Difference:
    off = math.fsum(
        pair.share * (pair.after.mean_log_friction - pair.before.mean_log_friction)
        for pair in pairs
    )
    own = math.fsum(
        pair.share**2 * (pair.before.own_spread**2 + pair.after.own_spread**2) for pair in pairs
    )
    # A start speed taken in another way is off by the same factor on every wheel.
    start = math.fsum(
        pair.share * math.hypot(pair.before.start_spread, pair.after.start_spread)
        for pair in pairs
        if pair.before.start is not pair.after.start
    )
    return _Difference(off, tuple(pairs), scatter, own + start**2)


def _below(limit: float, off: float, spread: float, freedom: float) -> float:
    from scipy.special import stdtr

    return float(stdtr(freedom, (limit - off) / spread))


def _quantile(freedom: float, share: float) -> float:
    from scipy.special import stdtrit

    return float(stdtrit(freedom, share))
