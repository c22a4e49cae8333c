"""Tell in a sentence or two which change to try first, and whether it reaches the target."""

from __future__ import annotations

from collections.abc import Sequence

from hillbench.fitting.advice import Advice, Verdict, tell_chance

_HOPELESS = 0.01


def tell_best(
    advice: Sequence[Advice], target_time_s: float | None = None, time_s: float | None = None
) -> str:
    """Return what to try first.

    Parameters
    ----------
    advice
        Advice on each change, best first; one or more.
    target_time_s
        Time to be reached, s; None for none.
    time_s
        Typical time as the car is, s; None where it may not finish.
    """
    best = advice[0]
    if best.verdict is Verdict.WORTH_IT:
        told = f"Try this first: {_named(best)}."
    elif best.verdict is Verdict.PROBABLY:
        doubt = ", though no reading of this car tells that yet"
        told = f"Most likely to pay: {_named(best)}{doubt * best.forecast.rests_on_belief}."
    elif any(one.verdict is Verdict.UNSURE for one in advice):
        told = f"Nothing is sure to help yet. Best so far: {_named(best)}."
    else:
        told = "None of these changes is worth the work."
    if target_time_s is not None and time_s is not None and time_s <= target_time_s:
        return f"{told} Its typical time is below {target_time_s:g} s already."
    return f"{told} {_target(advice, target_time_s)}".strip()


def tell_facts(advice: Advice, target_time_s: float | None, currency: str) -> tuple[str, ...]:
    """Return what a change takes and what it promises, a few words each.

    Parameters
    ----------
    advice
        Advice on the change.
    target_time_s
        Time to be reached, s; None for none.
    currency
        Of the costs, by its code.
    """
    forecast, change = advice.forecast, advice.forecast.change
    if forecast.gain_s is None or advice.verdict is Verdict.NOT_LEGAL:
        return ()
    facts = [f"{change.minutes:g} min"] if change.minutes is not None else []
    if change.cost is not None:
        money = f"{currency} {change.cost:.2f}" if change.cost else "no money"
        facts.append(f"{money} ({change.cost_of})" if change.cost_of else money)
    if change.minutes and forecast.gain_s > 0.0:
        facts.append(f"{1000.0 * forecast.gain_s / change.minutes:.2g} ms for each minute")
    if target_time_s is not None and forecast.probability_target is not None:
        facts.append(f"{tell_chance(forecast.probability_target)} to reach {target_time_s:g} s")
    if forecast.rests_on_belief:
        facts.append("from what is usual, not from readings of this car")
    return tuple(facts)


def _named(advice: Advice) -> str:
    forecast = advice.forecast
    if forecast.gain_s is None:
        return forecast.change.name
    minutes = forecast.change.minutes
    takes = f" in {minutes:g} minutes of work" if minutes else ""
    return f"{forecast.change.name}, about {max(forecast.gain_s, 0.0):.3f} s faster{takes}"


def _target(advice: Sequence[Advice], target_time_s: float | None) -> str:
    able = [
        one
        for one in advice
        if one.forecast.probability_target is not None and one.verdict is not Verdict.NOT_LEGAL
    ]
    if target_time_s is None or not able:
        return ""
    best = max(able, key=lambda one: one.forecast.probability_target or 0.0)
    share = best.forecast.probability_target or 0.0
    if share < _HOPELESS:
        return f"None of them reaches {target_time_s:g} s."
    if best is advice[0] and best.verdict is not Verdict.NOT_WORTH_IT:
        return f"Its chance to reach {target_time_s:g} s is {tell_chance(share)}."
    return (
        f"The best chance to reach {target_time_s:g} s, {tell_chance(share)}, is to "
        f"{best.forecast.change.name}."
    )
