"""What would help a car: the question as a file asks it, with every problem told."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.coasting.car import check_car
from hillbench.errors import InvalidInput, Problem
from hillbench.fitting.advice import MATTERS_S, Rank
from hillbench.fitting.change import Change, check_change
from hillbench.fitting.check import require_evidence
from hillbench.fitting.cost import MINUTES, Work, with_minutes
from hillbench.fitting.evidence import Evidence, Setup
from hillbench.fitting.legality import CarLimit
from hillbench.fitting.readings import AS_IT_IS
from hillbench.fitting.suggestion import suggest_changes
from hillbench.usecases.question import read_question

MOST_MINUTES: Final = 10_000.0

LIMITED: Final = ("wheelbase_mm", "wheel_diameter_mm", "axle_diameter_mm")
"""Lengths that a class may limit and a change may alter."""


@dataclass(frozen=True, slots=True)
class WorkMinutes:
    """Minutes that each kind of work takes, opening and closing the car included.

    Attributes
    ----------
    weight, balance, lubrication, axles, wheels, air
        Adding weight, moving it, lubricating, straightening axles, other wheels, and trimming
        what the air catches; common practice, no source.
    """

    weight: float = MINUTES[Work.WEIGHT]
    balance: float = MINUTES[Work.BALANCE]
    lubrication: float = MINUTES[Work.LUBRICATION]
    axles: float = MINUTES[Work.AXLES]
    wheels: float = MINUTES[Work.WHEELS]
    air: float = MINUTES[Work.AIR]

    def by_work(self) -> dict[Work, float]:
        """Return the minutes by kind of work."""
        return {work: float(getattr(self, work.value)) for work in Work}


USUAL_MINUTES: Final = WorkMinutes()


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
        Whether two changes together are judged as well, where neither is useless alone.
    target_time_s
        Time to be reached, s; null for none.
    mass_limit_g, scale_guard_g
        Most that the class allows, and what is kept below it for the scale, g.
    limits
        What else the class limits: wheelbase, diameters of wheels and axles.
    matters_s
        Gain below which nobody cares, s.
    minutes
        Minutes that each kind of work takes, where they differ from the usual ones.
    currency
        Of the costs of the changes, by its code; may be empty.
    rank_by
        What changes of one verdict are ranked by: ``gain`` or ``gain per minute``.
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
    limits: tuple[CarLimit, ...] = ()
    matters_s: float = MATTERS_S
    minutes: WorkMinutes = USUAL_MINUTES
    currency: str = ""
    rank_by: str = str(Rank.GAIN)
    seed: int = 1


def read_advice_question(text: str) -> AdviceQuestion:
    """Return the question in a JSON text; raises `InvalidInput` with every problem of form."""
    return read_question(text, AdviceQuestion)


def asked_setup(question: AdviceQuestion) -> Setup:
    """Return the car as it is now; raises `InvalidInput` with every problem of content."""
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


def asked_changes(question: AdviceQuestion, setup: Setup) -> tuple[Change, ...]:
    """Return the single changes to be judged; raises `InvalidInput` with every problem."""
    problems = [*_check_aim(question)]
    for number, change in enumerate(question.changes):
        problems += check_change(change, setup, f"changes[{number}]")
    if problems:
        raise InvalidInput(problems)
    changes: Sequence[Change] = question.changes or suggest_changes(
        question, setup, question.mass_limit_g, question.scale_guard_g
    )
    minutes = question.minutes.by_work()
    return tuple(with_minutes(change, minutes) for change in changes)


def _check_aim(question: AdviceQuestion) -> Iterator[Problem]:
    for name, unit in (("target_time_s", "s"), ("mass_limit_g", "g"), ("matters_s", "s")):
        value = getattr(question, name)
        if value is not None and not value > 0.0:
            yield Problem(name, f"{value:g} {unit}", f"more than 0 {unit}")
    if not 0.0 <= question.scale_guard_g <= 10.0:
        yield Problem("scale_guard_g", f"{question.scale_guard_g:g} g", "between 0 and 10 g")
    for work, minutes in question.minutes.by_work().items():
        if not 0.0 <= minutes <= MOST_MINUTES:
            allowed = f"between 0 and {MOST_MINUTES:g} minutes"
            yield Problem(f"minutes.{work}", f"{minutes:g} minutes", allowed)
    for number, limit in enumerate(question.limits):
        if limit.quantity not in LIMITED:
            where = f"limits[{number}].quantity"
            yield Problem(where, repr(limit.quantity), "one of " + ", ".join(LIMITED))
    if question.rank_by not in set(Rank):
        yield Problem("rank_by", repr(question.rank_by), "one of " + ", ".join(Rank))
