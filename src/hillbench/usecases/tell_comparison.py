"""Tell which car is faster, or what a change gained, in one sentence."""

from __future__ import annotations

from typing import Final

from hillbench.timing.comparison import Comparison, PairGap
from hillbench.timing.gain import Gain
from hillbench.timing.stopping import LEAST_RUNS, MOST_RUNS, Verdict, runs_to_see

_COUNTS: Final = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_LEANING: Final = 0.6
_LIKELY: Final = 0.8


def tell_comparison(comparison: Comparison) -> str:
    """Return the answer in a sentence or two."""
    ranking = comparison.ranking()
    if len(ranking) == 1:
        car = ranking[0]
        return (
            f"{car.car} typically takes {time_text(car.typical_time_s or 0.0)}; time another car"
            " to compare it with."
        )
    first, second = ranking[0], ranking[1]
    pair = comparison.pair(first.car, second.car)
    if len(ranking) > 2:
        return _tell_field(comparison, pair)
    least = min(first.runs, second.runs)
    return tell_pair(pair, comparison.matters_s, least) + _tell_effort(comparison, pair)


def tell_pair(pair: PairGap, matters_s: float, least_runs: int) -> str:
    """Return who of two is faster, how sure that is, and what would settle it.

    Parameters
    ----------
    pair
        The two cars.
    matters_s
        Gap below which nobody cares, s.
    least_runs
        Timed runs of the car that has fewer.
    """
    odds = pair.probability_first_faster
    ahead = pair.first if odds >= 0.5 else pair.second
    sure = percent(max(odds, 1.0 - odds))
    if pair.verdict in (Verdict.FIRST, Verdict.SECOND):
        low, high = sorted((abs(pair.gap_low_s), abs(pair.gap_high_s)))
        interval = f"90 % interval {low:.3f} to {high:.3f} s"
        if pair.gap_low_s <= 0.0 <= pair.gap_high_s:
            interval = f"90 % interval up to {high:.3f} s"
        return f"{ahead} is faster, {sure} sure: by {abs(pair.gap_s):.3f} s ({interval})."
    if pair.verdict is Verdict.TOO_CLOSE:
        return (
            f"{pair.first} and {pair.second} are too close to matter: less than"
            f" {short_time(matters_s)} apart, {percent(pair.probability_too_close)} sure."
        )
    if max(odds, 1.0 - odds) < _LEANING:
        opening = f"Nothing yet between {pair.first} and {pair.second}"
    elif least_runs < LEAST_RUNS:
        opening = f"{ahead} is ahead, {sure} sure, too early to call"
    elif max(odds, 1.0 - odds) < _LIKELY:
        opening = f"{ahead} is ahead, {sure} sure"
    else:
        opening = f"{ahead} is faster, {sure} sure"
    return f"{opening}; {_tell_more(pair.runs_still_needed)}."


def tell_gain(gain: Gain, change: str = "The change") -> str:
    """Return what a change gained, how sure that is, and what the runs cannot tell."""
    size = f"{abs(gain.gain_s):.3f} s"
    interval = f"90 % interval {signed(gain.gain_low_s)} to {signed(gain.gain_high_s)} s"
    if gain.verdict is Verdict.SECOND:
        text = f"{change} works: {size} gained, {percent(gain.probability_gain)} sure"
    elif gain.verdict is Verdict.FIRST:
        text = f"{change} hurts: {size} lost, {percent(1.0 - gain.probability_gain)} sure"
    elif gain.verdict is Verdict.TOO_CLOSE:
        close = percent(gain.probability_too_close)
        text = f"{change} makes less than {short_time(gain.matters_s)} difference, {close} sure"
    else:
        helps = gain.probability_gain >= 0.5
        odds = percent(max(gain.probability_gain, 1.0 - gain.probability_gain))
        text = f"Not settled yet: {odds} sure that {change[0].lower()}{change[1:]}"
        text += f" {'helps' if helps else 'hurts'}, by {size}"
    return f"{text} ({interval})." + (f" {gain.warning}" if gain.warning else "")


def percent(share: float) -> str:
    """Return a probability as whole percent; only what is certain is called 0 or 100 %."""
    if 0.0 < share < 0.01:
        return "under 1 %"
    if 0.99 < share < 1.0:
        return "over 99 %"
    return f"{100.0 * share:.0f} %"


def time_text(time_s: float) -> str:
    """Return a finish time to the hundredth of a second."""
    return f"{time_s:.2f} s"


def short_time(time_s: float) -> str:
    """Return a small difference of times with the figures that count."""
    return f"{time_s:.3g} s"


def signed(time_s: float) -> str:
    """Return a difference with its sign, a true minus."""
    return f"{time_s:+.3f}".replace("-", "−")


def _tell_more(pairs: int | None) -> str:
    if pairs is None:
        return "more than sixty runs of each would be needed to settle it"
    count = _COUNTS[pairs] if pairs < len(_COUNTS) else str(pairs)
    return f"about {count} more pair{'' if pairs == 1 else 's'} would settle it"


def _tell_effort(comparison: Comparison, pair: PairGap) -> str:
    """Return what it takes to see what matters, where that is much or ten runs did not do."""
    if pair.verdict is not Verdict.KEEP_RUNNING or not comparison.matters_given:
        return ""
    runs = runs_to_see(comparison.matters_s, comparison.spread_s)
    if runs <= MOST_RUNS:
        return ""
    return (
        f" A gap of {short_time(comparison.matters_s)} is small beside the spread of one run"
        f" ({short_time(comparison.spread_s)}): to see it takes about {runs:.0f} runs of each."
    )


def _tell_field(comparison: Comparison, pair: PairGap) -> str:
    """Return the fastest of several, and who comes next."""
    first, second = comparison.ranking()[:2]
    sure = percent(first.probability_fastest or 0.0)
    return (
        f"{first.car} is the fastest of {len(comparison.ranking())}, {sure} sure;"
        f" next is {second.car}, {abs(pair.gap_s):.3f} s behind."
    )
