"""Ranked advice in plain words: what to try, what not, and what to measure first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from hillbench.fitting.forecast import Aim, Forecast
from hillbench.fitting.information import Expected

MATTERS_S: Final = 0.01
"""Gain below which nobody cares, s, where nothing else is stated: a fifth of the scatter of a
single run; common practice, no source."""

_TELLING: Final = 0.8
_LIKELY: Final = 0.8


class Rank(StrEnum):
    """What changes of one verdict are ranked by."""

    GAIN = "gain"
    GAIN_PER_MINUTE = "gain per minute"


class Verdict(StrEnum):
    """What is advised of a change."""

    WORTH_IT = "worth it"
    PROBABLY = "probably worth it"
    UNSURE = "unsure"
    NOT_WORTH_IT = "not worth it"
    SLOWER = "makes it slower"
    NOT_LEGAL = "not legal"
    STALLS = "may not finish"


_HOPEFUL: Final = frozenset({Verdict.PROBABLY, Verdict.UNSURE})
_NO_TIME: Final = frozenset({Verdict.NOT_LEGAL, Verdict.STALLS})
_NO_PRICE: Final = frozenset({Verdict.NOT_LEGAL, Verdict.SLOWER, Verdict.STALLS})
_ORDER: Final = {verdict: number for number, verdict in enumerate(Verdict)}


@dataclass(frozen=True, slots=True)
class Advice:
    """What is advised of one change.

    Attributes
    ----------
    forecast
        The forecast it rests on.
    verdict
        What is advised.
    why
        What it gains and what that means, in plain words; it does not name the verdict.
    sentence
        The same with its chances, its price and what to measure first.
    """

    forecast: Forecast
    verdict: Verdict
    why: str
    sentence: str


def advise(
    forecasts: Sequence[Forecast],
    aim: Aim,
    readings: Sequence[Expected] = (),
    matters_s: float = MATTERS_S,
    *,
    currency: str = "",
    rank: Rank = Rank.GAIN,
) -> tuple[Advice, ...]:
    """Return advice on each change, best first.

    Parameters
    ----------
    forecasts
        Forecasts of the changes.
    aim
        What they are held against.
    readings
        What further readings would tell, best first; named where a change is unsure.
    matters_s
        Gain below which nobody cares, s.
    currency
        Of the costs, by its code; empty where it is not known.
    rank
        What changes of one verdict are ranked by.

    Notes
    -----
    Worth it: at least a 95 % chance of gaining what matters. Not worth it: a 95 % chance of
    gaining less; slower, if the median then loses what matters. Probably: the median gains
    what matters and the chance of any gain is at least 80 %; also where all of that rests on
    what is believed beforehand and not on readings. Else unsure. Equal verdicts go by
    the number of changes done together, then by the median gain; or by the median gain per
    minute of work, where that is asked for.
    """
    advised = [_advice(one, aim, readings, matters_s, currency) for one in forecasts]
    order = _by_minute if rank is Rank.GAIN_PER_MINUTE else _by_gain
    return tuple(sorted(advised, key=order))


def _by_gain(advice: Advice) -> tuple[int, int, float]:
    change = advice.forecast.change
    return (_ORDER[advice.verdict], change.parts, -(advice.forecast.gain_s or 0.0))


def _by_minute(advice: Advice) -> tuple[int, float, float]:
    gain_s = advice.forecast.gain_s or 0.0
    return (_ORDER[advice.verdict], -gain_s / (advice.forecast.change.minutes or 1e6), -gain_s)


def judge(forecast: Forecast, matters_s: float) -> Verdict:
    """Return what is advised of a change; see `advise`."""
    if forecast.legal is False:
        return Verdict.NOT_LEGAL
    low, middle, high = forecast.gain_low_s, forecast.gain_s, forecast.gain_high_s
    if low is None or middle is None or high is None:
        return Verdict.STALLS
    if low >= matters_s:
        return Verdict.PROBABLY if forecast.rests_on_belief else Verdict.WORTH_IT
    if high < matters_s:
        return Verdict.SLOWER if middle <= -matters_s else Verdict.NOT_WORTH_IT
    faster = forecast.probability_faster or 0.0
    return Verdict.PROBABLY if middle >= matters_s and faster >= _LIKELY else Verdict.UNSURE


def _advice(
    forecast: Forecast, aim: Aim, readings: Sequence[Expected], matters_s: float, currency: str
) -> Advice:
    verdict = judge(forecast, matters_s)
    why = _why(forecast, verdict, matters_s)
    parts = [why]
    if forecast.probability_target is not None and verdict not in _NO_TIME:
        parts.append(
            f"Chance that the typical time then reaches {aim.target_time_s:g} s: "
            f"{tell_chance(forecast.probability_target)}."
        )
    if forecast.rests_on_belief and verdict in _HOPEFUL:
        parts.append(
            "That rests on what is usual, not on readings of this car: try it and time it."
        )
    price = tell_price(forecast, currency)
    if price and verdict not in _NO_PRICE:
        parts.append(price)
    telling = [one for one in readings if one.share_left < _TELLING]
    if verdict is Verdict.UNSURE and telling:
        parts.append(f"Measure first: {telling[0].name} would tell most.")
    return Advice(forecast, verdict, why, " ".join(parts))


def _why(forecast: Forecast, verdict: Verdict, matters_s: float) -> str:
    name = forecast.change.name[:1].upper() + forecast.change.name[1:]
    if verdict is Verdict.NOT_LEGAL:
        return f"{name}: {forecast.illegal}."
    if verdict is Verdict.STALLS:
        return (
            f"{name}: no forecast, for the car may not reach the finish any more "
            f"({tell_chance(forecast.probability_stalls)} chance)."
        )
    low, high = forecast.gain_low_s or 0.0, forecast.gain_high_s or 0.0
    span = f"{_gain(forecast.gain_s or 0.0)} (90 % between {_signed(low)} and {_signed(high)} s)"
    ends = {
        Verdict.NOT_WORTH_IT: f" That is less than the {matters_s:g} s that matter.",
        Verdict.SLOWER: " Leave it.",
        Verdict.UNSURE: (
            f" Perhaps that is less than the {matters_s:g} s that matter."
            if low > 0.0
            else " The readings do not tell yet whether it pays."
        ),
    }
    return f"{name} {span}.{ends.get(verdict, '')}"


def _gain(gain_s: float) -> str:
    if abs(gain_s) < 0.0005:
        return "neither gains nor loses a thousandth of a second"
    return f"{'gains' if gain_s >= 0.0 else 'loses'} about {abs(gain_s):.3f} s"


def _signed(time_s: float) -> str:
    return f"{time_s:+.3f}".replace("-", "−").replace("−0.000", "0.000").replace("+0.000", "0.000")


def tell_price(forecast: Forecast, currency: str) -> str:
    """Return what a change takes, in one sentence; empty where nothing is known."""
    change, gain = forecast.change, forecast.gain_s
    parts = []
    if change.minutes is not None:
        parts.append(f"{change.minutes:g} minute{'s' * (change.minutes != 1)}")
    if change.cost is not None:
        from_where = f" ({change.cost_of})" if change.cost_of else ""
        money = f"{currency} {change.cost:.2f}".strip() if change.cost else "no money"
        parts.append(f"{money}{from_where}")
    if not parts:
        return ""
    each = ""
    if change.minutes and gain is not None and gain > 0.0:
        each = f": {1000.0 * gain / change.minutes:.2g} ms gained for each minute"
    return f"It takes {' and '.join(parts)}{each}."


def tell_chance(share: float) -> str:
    """Return a chance in whole percent, never quite 0 or 100."""
    if share < 0.01:
        return "under 1 %"
    return "over 99 %" if share > 0.99 else f"{100.0 * share:.0f} %"
