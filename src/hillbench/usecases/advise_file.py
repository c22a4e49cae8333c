"""Answer what would help a car, asked in a file."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from hillbench.coasting.car import check_car
from hillbench.errors import InvalidInput, Problem
from hillbench.fitting.advice import MATTERS_S, Advice, advise
from hillbench.fitting.change import Change, check_change
from hillbench.fitting.check import require_evidence
from hillbench.fitting.ellipse_sampler import Progress
from hillbench.fitting.evidence import Evidence, Setup, measured_owners
from hillbench.fitting.fit import Fit, fit
from hillbench.fitting.forecast import Aim, change_times, forecast_changes
from hillbench.fitting.information import Expected, rank_readings
from hillbench.fitting.readings import AS_IT_IS
from hillbench.fitting.suggestion import suggest_changes, with_pairs
from hillbench.usecases.fit_file import FitFindings, chance, findings_of
from hillbench.usecases.question import read_question
from hillbench.usecases.tell_fit import tell_notes


@dataclass(frozen=True, slots=True)
class AdviceQuestion(Evidence):
    """What would help one car, from track, cars, runs and tests.

    Attributes
    ----------
    advised_car
        Name of the car.
    state, mass_g, cg_ahead_of_rear_axle_mm
        As it is now: lubrication in a word, mass in g and CG in mm; null for those of the car.
    changes
        Changes to be judged; where there are none, the usual ones are.
    pairs
        Whether two changes together are judged as well.
    target_time_s
        Time to be reached, s; null for none.
    mass_limit_g, scale_guard_g
        Most that the class allows, and what is kept below it for the scale, g.
    matters_s
        Gain below which nobody cares, s.
    seed
        Start of the random numbers; the same file and seed give the same answer.
    """

    advised_car: str = ""
    state: str = AS_IT_IS
    mass_g: float | None = None
    cg_ahead_of_rear_axle_mm: float | None = None
    changes: tuple[Change, ...] = ()
    pairs: bool = True
    target_time_s: float | None = None
    mass_limit_g: float | None = None
    scale_guard_g: float = 0.05
    matters_s: float = MATTERS_S
    seed: int = 1


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
    minutes, cost
        What it takes.
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
    minutes: float | None
    cost: float | None


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
        What further readings would tell of the first change whose gain is unsure, best first.
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
    time_s
        Typical time as the car is, s; None where it may not finish.
    advice
        Each change, best first.
    readings, about
        What further readings would tell of the gain of the change `about`.
    """

    found: FitFindings
    time_s: float | None
    advice: tuple[Advice, ...]
    readings: tuple[Expected, ...]
    about: str


def read_advice_question(text: str) -> AdviceQuestion:
    """Return the question in a JSON text; raises `InvalidInput` with every problem of form."""
    return read_question(text, AdviceQuestion)


def run_advice(question: AdviceQuestion, progress: Progress | None = None) -> Advised:
    """Fit and judge every change; raises `InvalidInput` with every problem of content."""
    import numpy as np

    rng = chance(question.seed)
    setup = _setup(question)
    changes = _changes(question, setup)
    also = [setup, *(change.applied_to(setup) for change in changes)]
    fitted = fit(question, rng, also, progress)
    aim = Aim(question.target_time_s, question.mass_limit_g, question.scale_guard_g)
    forecasts = forecast_changes(fitted, setup, changes, aim)
    plain = advise(forecasts, aim, (), question.matters_s)
    target = _least_sure(fitted, setup, plain)
    able = target.forecast.gain_s is not None
    readings = rank_readings(fitted, setup, target.forecast.change) if able else ()
    times = change_times(fitted, setup, None)
    finished = times[np.isfinite(times)]
    return Advised(
        findings_of(fitted, rng),
        float(np.median(finished)) if len(finished) > 0.95 * len(times) else None,
        advise(forecasts, aim, readings, question.matters_s),
        readings,
        target.forecast.change.name,
    )


def advice_answer(advised: Advised) -> AdviceAnswer:
    """Return advice in the form of the answer file."""
    found = advised.found
    return AdviceAnswer(
        status=str(found.fit.status),
        sentence=_sentence(advised.advice),
        time_s=advised.time_s,
        advice=tuple(_line(one) for one in advised.advice),
        readings=advised.readings,
        readings_about=advised.about,
        notes=tell_notes(found.fit, found.findings, found.misfit),
    )


def _least_sure(fitted: Fit, setup: Setup, advice: Sequence[Advice]) -> Advice:
    """Return the advice that readings of the car as it is could make surer.

    The first single change that is unsure or only probably worth it; no reading tells of a
    lubrication before it is tried.
    """
    owners = measured_owners(fitted.evidence)
    for one in advice:
        change = one.forecast.change
        tried = change.applied_to(setup).owner in {setup.owner, *owners}
        if one.verdict in {"unsure", "probably worth it"} and change.parts == 1 and tried:
            return one
    return advice[0]


def _setup(question: AdviceQuestion) -> Setup:
    require_evidence(question)
    names = [known.name for known in question.cars]
    name = question.advised_car or (names[0] if len(names) == 1 else "")
    if name not in names:
        allowed = "one of " + ", ".join(names)
        raise InvalidInput([Problem("advised_car", repr(question.advised_car), allowed)])
    stated = {
        field: getattr(question, field)
        for field in ("mass_g", "cg_ahead_of_rear_axle_mm")
        if getattr(question, field) is not None
    }
    car = dataclasses.replace(question.known_car(name).car, **stated)
    problems = [
        dataclasses.replace(one, where=one.where.removeprefix("car.")) for one in check_car(car)
    ]
    if problems:
        raise InvalidInput(problems)
    return Setup(name, question.state, car)


def _changes(question: AdviceQuestion, setup: Setup) -> tuple[Change, ...]:
    problems = [*_check_aim(question)]
    for number, change in enumerate(question.changes):
        problems += check_change(change, setup, f"changes[{number}]")
    if problems:
        raise InvalidInput(problems)
    changes: Sequence[Change] = question.changes or suggest_changes(
        question, setup, question.mass_limit_g, question.scale_guard_g
    )
    return with_pairs(changes) if question.pairs else tuple(changes)


def _check_aim(question: AdviceQuestion) -> Iterator[Problem]:
    for name, unit in (("target_time_s", "s"), ("mass_limit_g", "g"), ("matters_s", "s")):
        value = getattr(question, name)
        if value is not None and not value > 0.0:
            yield Problem(name, f"{value:g} {unit}", f"more than 0 {unit}")
    if not 0.0 <= question.scale_guard_g <= 10.0:
        yield Problem("scale_guard_g", f"{question.scale_guard_g:g} g", "between 0 and 10 g")


def _sentence(advice: Sequence[Advice]) -> str:
    best = advice[0]
    if best.verdict in {"worth it", "probably worth it"}:
        return f"Try this first. {best.sentence}"
    if any(one.verdict == "unsure" for one in advice):
        return f"Nothing is sure to help yet. {best.sentence}"
    return "None of these changes is worth the work."


def _line(one: Advice) -> AdviceLine:
    forecast = one.forecast
    named = {
        field.name: getattr(forecast, field.name)
        for field in dataclasses.fields(AdviceLine)
        if hasattr(forecast, field.name)
    }
    change = forecast.change
    return AdviceLine(
        name=change.name, verdict=str(one.verdict), sentence=one.sentence,
        minutes=change.minutes, cost=change.cost, **named,
    )  # fmt: skip
