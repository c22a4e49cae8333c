"""Answer what spin-downs in a file say: friction by wheel and round, and whether to stop."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final

from hillbench.coasting.car import Car, check_car
from hillbench.coasting.spin_rounds import RoundChange
from hillbench.errors import InvalidInput, Problem
from hillbench.records.bench_test_entities import SpinDownTest, SpinTimedBy, Wheel
from hillbench.usecases.judge_spin_downs import (
    MATTERS_WITHOUT_HILL,
    SpinsJudged,
    WheelRounds,
    judge_spin_downs,
)
from hillbench.usecases.keep_spin_downs import WheelSpins, check_wheel
from hillbench.usecases.question import read_question
from hillbench.usecases.spin_tests import car_rounds, wheel_series
from hillbench.usecases.tell_spin_downs import tell_notes, tell_spins

_FIRST: Final = datetime(2000, 1, 1, tzinfo=UTC)
_SITTING: Final = timedelta(seconds=1)


@dataclass(frozen=True, slots=True)
class SpinAsked:
    """One wheel spun several times in one round.

    Attributes
    ----------
    round
        Name of the round, such as ``dry`` or ``graphite 2``; rounds stand in the order done.
    wheel
        ``front left``, ``front right``, ``rear left`` or ``rear right``.
    stop_times_s
        From the start of the watch until it stood, s, one for each spin.
    start_turns_per_s
        Speed at the start of the watch, turns a second: empty, one for all, or one for each.
    start_uncertainty_turns_per_s
        Standard uncertainty of these speeds; null for 5 %.
    turns
        Turns until it stood: empty, or one for each spin.
    timed_by
        ``hand`` or ``film``.
    """

    round: str
    wheel: str
    stop_times_s: tuple[float, ...]
    start_turns_per_s: tuple[float, ...] = ()
    start_uncertainty_turns_per_s: float | None = None
    turns: tuple[float, ...] = ()
    timed_by: str = "film"


@dataclass(frozen=True, slots=True)
class SpinQuestion:
    """Spin-downs of one car.

    Attributes
    ----------
    tests
        The tests in the order made.
    wheel_diameter_mm, axle_diameter_mm
        Wheel at the tread and axle in its bearing, mm.
    wheel_inertia_factor
        Moment of inertia over mass times wheel radius squared: 0.5 disk, 1 hoop.
    front_load_share
        Part of the car's weight on its front axle, 0 to 1.
    matters_share
        Relative fall of the friction below which nobody cares, 0.001 to 0.5.
    """

    tests: tuple[SpinAsked, ...]
    wheel_diameter_mm: float
    axle_diameter_mm: float
    wheel_inertia_factor: float = 0.5
    front_load_share: float = 0.45
    matters_share: float = MATTERS_WITHOUT_HILL


@dataclass(frozen=True, slots=True)
class SpinPoint:
    """One wheel in one round.

    Attributes
    ----------
    round
        Its name.
    bearing_friction, standard_uncertainty
        Friction with its whole uncertainty.
    low, high
        90 % interval without what all rounds share: rounds are compared by it.
    start
        Where the start speed comes from: ``measured``, ``from the turns`` or ``assumed``.
    viscous_share
        Part of the energy that viscous friction took; null where it cannot be told.
    """

    round: str
    bearing_friction: float
    standard_uncertainty: float
    low: float
    high: float
    start: str
    viscous_share: float | None


@dataclass(frozen=True, slots=True)
class SpinWheelAnswer:
    """One wheel.

    Attributes
    ----------
    wheel
        Which wheel.
    rounds
        Its rounds in the order done.
    change
        What the last round changed; null where there is only one.
    """

    wheel: str
    rounds: tuple[SpinPoint, ...]
    change: RoundChange | None


@dataclass(frozen=True, slots=True)
class SpinAnswer:
    """What the spin-downs say.

    Attributes
    ----------
    verdict
        ``gained``, ``stop here``, ``worse``, ``unsure``, or ``one round`` where there is nothing
        to compare.
    sentence
        The answer in one sentence.
    notes
        What these spins cannot tell, a sentence each.
    bearing_friction, standard_uncertainty
        Friction of the whole car in the last round.
    change
        What the last round changed on all wheels together; null where there is only one.
    wheels
        Each wheel that was spun.
    """

    verdict: str
    sentence: str
    notes: tuple[str, ...]
    bearing_friction: float
    standard_uncertainty: float
    change: RoundChange | None
    wheels: tuple[SpinWheelAnswer, ...]


def read_spin_question(text: str) -> SpinQuestion:
    """Return the question in a JSON text; raises `InvalidInput` with every problem of form."""
    return read_question(text, SpinQuestion)


def judge_spin_file(question: SpinQuestion) -> SpinsJudged:
    """Return what the spin-downs say; raises `InvalidInput` with every problem of content."""
    problems = list(_problems(question))
    if problems:
        raise InvalidInput(problems)
    car = _car(question)
    judged = judge_spin_downs(
        car_rounds(_tests(question), lambda _: car), car, None, question.matters_share
    )
    if judged is None:
        raise AssertionError("a question has one test or more")
    return judged


def spin_answer(judged: SpinsJudged) -> SpinAnswer:
    """Return what spin-downs say in the form of the answer file."""
    return SpinAnswer(
        verdict=str(judged.change.verdict) if judged.change else "one round",
        sentence=tell_spins(judged),
        notes=tell_notes(judged),
        bearing_friction=judged.friction.value,
        standard_uncertainty=judged.friction.standard_uncertainty,
        change=judged.change,
        wheels=tuple(_wheel(one) for one in judged.wheels),
    )


def _wheel(one: WheelRounds) -> SpinWheelAnswer:
    points = tuple(
        SpinPoint(
            point.name,
            point.friction.value,
            point.friction.standard_uncertainty,
            point.low,
            point.high,
            str(point.start),
            point.viscous_share,
        )
        for point in one.points
    )
    return SpinWheelAnswer(str(one.wheel), points, one.change)


def _car(question: SpinQuestion) -> Car:
    """Return a car with these wheels and loads; the rest of it does not matter here."""
    return Car(
        mass_g=40.0,
        wheelbase_mm=40.0,
        cg_ahead_of_rear_axle_mm=40.0 * question.front_load_share,
        cg_height_mm=9.0,
        wheel_diameter_mm=question.wheel_diameter_mm,
        axle_diameter_mm=question.axle_diameter_mm,
        wheel_mass_g=0.5,
        wheel_inertia_factor=question.wheel_inertia_factor,
    )


def _tests(question: SpinQuestion) -> list[SpinDownTest]:
    return [
        SpinDownTest(
            id=number,
            car_id=0,
            at=_FIRST + number * _SITTING,
            wheel=Wheel(one.wheel),
            lubricant=one.round,
            round_number=0,
            stop_times_s=one.stop_times_s,
            start_turns_per_s=one.start_turns_per_s,
            start_uncertainty_turns_per_s=one.start_uncertainty_turns_per_s,
            turns=one.turns,
            timed_by=SpinTimedBy(one.timed_by),
        )
        for number, one in enumerate(question.tests)
    ]


def _problems(question: SpinQuestion) -> Iterator[Problem]:
    if not question.tests:
        yield Problem("tests", "empty", "one test or more")
    if not 0.001 <= question.matters_share <= 0.5:
        yield Problem("matters_share", f"{question.matters_share:g}", "between 0.001 and 0.5")
    if not 0.0 <= question.front_load_share <= 1.0:
        yield Problem("front_load_share", f"{question.front_load_share:g}", "between 0 and 1")
        return
    wrong = [
        dataclasses.replace(one, where=one.where.removeprefix("car."))
        for one in check_car(_car(question))
    ]
    yield from wrong
    for number, test in enumerate(question.tests):
        found = list(_test_problems(question, number, test, readable=not wrong))
        yield from found


def _test_problems(
    question: SpinQuestion, number: int, test: SpinAsked, *, readable: bool
) -> Iterator[Problem]:
    place = f"tests[{number}]"
    if not test.round.strip():
        yield Problem(f"{place}.round", repr(test.round), "a name", "name what was done")
    if test.timed_by not in set(SpinTimedBy):
        allowed = "one of: " + ", ".join(SpinTimedBy)
        yield Problem(f"{place}.timed_by", repr(test.timed_by), allowed)
        return
    spins = WheelSpins(test.stop_times_s, test.start_turns_per_s, test.turns)
    wrong = list(check_wheel(test.wheel, spins))
    for one in wrong:
        name = one.where.rpartition(".")[2]
        yield dataclasses.replace(one, where=f"{place}.{name}")
    if wrong or not readable:
        return
    try:
        wheel_series(_tests(dataclasses.replace(question, tests=(test,)))[0], _car(question))
    except InvalidInput as error:
        for one in error.problems:
            name = one.where.rpartition(".")[2]
            yield dataclasses.replace(one, where=f"{place}.{name}")
