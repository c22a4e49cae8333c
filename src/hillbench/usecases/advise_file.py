"""Answer what would help a car, asked in a file."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.fitting.advice import Advice, Rank, Verdict, advise
from hillbench.fitting.change import Change
from hillbench.fitting.ellipse_sampler import Progress
from hillbench.fitting.evidence import Setup, measured_owners
from hillbench.fitting.fit import Fit, fit
from hillbench.fitting.forecast import Aim, change_times, forecast_changes
from hillbench.fitting.information import Expected, rank_readings
from hillbench.fitting.suggestion import pairs_of
from hillbench.usecases.advice_question import (
    AdviceQuestion,
    asked_changes,
    asked_setup,
    read_advice_question,
)
from hillbench.usecases.fit_file import FitFindings, chance, findings_of
from hillbench.usecases.tell_best import tell_best
from hillbench.usecases.tell_fit import tell_notes

_MOST_ASKED: Final = 3
_USEFUL: Final = frozenset({Verdict.WORTH_IT, Verdict.PROBABLY, Verdict.UNSURE})

__all__ = [
    "AdviceAnswer",
    "AdviceQuestion",
    "Advised",
    "advice_answer",
    "read_advice_question",
    "run_advice",
]


@dataclass(frozen=True, slots=True)
class AdviceLine:
    """Advice on one change; the interval holds 90 %.

    Attributes
    ----------
    name
        The change.
    verdict
        ``worth it``, ``probably worth it``, ``unsure``, ``not worth it``, ``makes it slower``,
        ``not legal`` or ``may not finish``.
    sentence
        Why, in plain words.
    gain_s, gain_low_s, gain_high_s
        Time gained, s; null where the car may not finish.
    time_s
        Typical time afterwards, s.
    probability_faster, probability_target, probability_stalls
        Chances of any gain, of reaching the target and of not finishing.
    legal
        Whether the class allows the mass; null without a limit.
    rests_on_belief
        Whether the gain comes from common practice and not from readings.
    minutes, cost, cost_of
        What it takes: minutes, money, and what the money is for.
    gain_per_minute_s
        Time gained for each minute of work, s; null where either is not known.
    """

    name: str
    verdict: str
    sentence: str
    gain_s: float | None
    gain_low_s: float | None
    gain_high_s: float | None
    time_s: float | None
    probability_faster: float | None
    probability_target: float | None
    probability_stalls: float
    legal: bool | None
    rests_on_belief: bool
    minutes: float | None
    cost: float | None
    cost_of: str
    gain_per_minute_s: float | None


@dataclass(frozen=True, slots=True)
class AdviceAnswer:
    """What would help a car.

    Attributes
    ----------
    status
        Status of the fit it rests on.
    sentence
        The answer in one sentence.
    time_s
        Typical time as the car is, s; null where it may not finish.
    advice
        Each change, best first.
    readings
        What further readings would tell of a change whose gain is not sure, best first.
    readings_about
        That change.
    notes
        What cannot be known from these readings and what does not fit.
    """

    status: str
    sentence: str
    time_s: float | None
    advice: tuple[AdviceLine, ...]
    readings: tuple[Expected, ...]
    readings_about: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Advised:
    """Advice with the fit it rests on.

    Attributes
    ----------
    found
        The fit and what it found.
    target_time_s
        Time that was to be reached, s; None for none.
    time_s
        Typical time as the car is, s; None where it may not finish.
    advice
        Each change, best first.
    readings, about
        What further readings would tell of the gain of the change `about`.
    """

    found: FitFindings
    target_time_s: float | None
    time_s: float | None
    advice: tuple[Advice, ...]
    readings: tuple[Expected, ...]
    about: str


def run_advice(question: AdviceQuestion, progress: Progress | None = None) -> Advised:
    """Fit and judge every change; raises `InvalidInput` with every problem of content."""
    rng = chance(question.seed)
    setup = asked_setup(question)
    changes = asked_changes(question, setup)
    fitted = fit(question, rng, asked_about(setup, changes), progress)
    return judge_changes(fitted, setup, changes, question)


def asked_about(setup: Setup, changes: Sequence[Change]) -> list[Setup]:
    """Return every setup that the fit must know."""
    return [setup, *(change.applied_to(setup) for change in changes)]


def judge_changes(
    fitted: Fit, setup: Setup, changes: Sequence[Change], question: AdviceQuestion
) -> Advised:
    """Return advice on changes from a fit that knows every setup asked about."""
    import numpy as np

    aim = Aim(
        question.target_time_s, question.mass_limit_g, question.scale_guard_g, question.limits
    )
    forecasts = forecast_changes(fitted, setup, changes, aim)
    plain = advise(forecasts, aim, (), question.matters_s)
    if question.pairs:
        useful = [one.forecast.change for one in plain if one.verdict in _USEFUL]
        forecasts += forecast_changes(fitted, setup, pairs_of(useful), aim)
    about, readings = _most_telling(fitted, setup, plain)
    times = change_times(fitted, setup, None)
    finished = times[np.isfinite(times)]
    return Advised(
        findings_of(fitted, chance(question.seed)),
        question.target_time_s,
        float(np.median(finished)) if len(finished) > 0.95 * len(times) else None,
        advise(
            forecasts,
            aim,
            readings,
            question.matters_s,
            currency=question.currency,
            rank=Rank(question.rank_by),
        ),
        readings,
        about,
    )


def advice_answer(advised: Advised) -> AdviceAnswer:
    """Return advice in the form of the answer file."""
    found = advised.found
    return AdviceAnswer(
        status=str(found.fit.status),
        sentence=tell_best(advised.advice, advised.target_time_s, advised.time_s),
        time_s=advised.time_s,
        advice=tuple(_line(one) for one in advised.advice),
        readings=advised.readings,
        readings_about=advised.about,
        notes=tell_notes(found.fit, found.findings, found.misfit),
    )


def _most_telling(
    fitted: Fit, setup: Setup, advice: Sequence[Advice]
) -> tuple[str, tuple[Expected, ...]]:
    """Return the change of which readings would tell most, and what each would tell.

    Of the first single changes that are unsure or only probably worth it, that whose gain one
    reading would make surer by most seconds; no reading of the car as it is tells of a
    lubrication before it is tried.
    """
    owners = {setup.owner, *measured_owners(fitted.evidence)}
    able = [
        one.forecast.change
        for one in advice
        if one.forecast.change.parts == 1
        and one.forecast.gain_s is not None
        and one.forecast.change.applied_to(setup).owner in owners
    ]
    vague = {
        one.forecast.change.name
        for one in advice
        if one.verdict in {Verdict.UNSURE, Verdict.PROBABLY}
    }
    asked = [change for change in able if change.name in vague][:_MOST_ASKED] or able[:1]
    found = [(change.name, rank_readings(fitted, setup, change)) for change in asked]
    return max(found, key=lambda one: _removed_s(one[1]), default=("", ()))


def _removed_s(readings: Sequence[Expected]) -> float:
    """Return how much the best reading takes off the standard deviation of a gain, s."""
    if not readings or readings[0].share_left <= 0.0:
        return 0.0
    left = math.sqrt(readings[0].share_left)
    return readings[0].target_spread_s * (1.0 / left - 1.0)


def _line(one: Advice) -> AdviceLine:
    forecast = one.forecast
    named = {
        field.name: getattr(forecast, field.name)
        for field in dataclasses.fields(AdviceLine)
        if hasattr(forecast, field.name)
    }
    change = forecast.change
    each = forecast.gain_s / change.minutes if forecast.gain_s and change.minutes else None
    return AdviceLine(
        name=change.name, verdict=str(one.verdict), sentence=one.sentence,
        minutes=change.minutes, cost=change.cost, cost_of=change.cost_of,
        gain_per_minute_s=each, **named,
    )  # fmt: skip
