"""Advise on a car of the bench book: what would help it on a hill, and how sure that is."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Final

from hillbench.fitting.advice import Advice, Rank
from hillbench.fitting.change import Change
from hillbench.fitting.evidence import Setup
from hillbench.fitting.information import Expected
from hillbench.fitting.legality import CarLimit
from hillbench.fitting.prior import BEARING_MEDIANS
from hillbench.fitting.suggestion import suggest_changes
from hillbench.racing.class_rules import ClassRules
from hillbench.usecases.advice_question import (
    LIMITED,
    USUAL_MINUTES,
    AdviceQuestion,
    WorkMinutes,
    asked_changes,
)
from hillbench.usecases.advise_file import advice_answer, asked_about, judge_changes
from hillbench.usecases.fit_track import fields_of
from hillbench.usecases.gather_runs import Gathered
from hillbench.usecases.kept_fit import FIT_SEED, KeptFit, take_up
from hillbench.usecases.list_drawer import Drawer
from hillbench.usecases.price_changes import price_changes, wheel_changes
from hillbench.usecases.tell_fit import tell_notes

SCALE_GUARD_G: Final = 0.05
"""Kept below the limit of the class for the sake of the scale, g: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What the builder is after.

    Attributes
    ----------
    target_time_s
        Time to be reached, s; None for none.
    mass_limit_g
        Most that the class allows, g; None for none.
    scale_guard_g, limits
        What the class keeps for the scale, g, and what else it limits.
    minutes
        Minutes that each kind of work takes this builder.
    rank
        What changes of one verdict are ranked by.
    """

    target_time_s: float | None = None
    mass_limit_g: float | None = None
    scale_guard_g: float = SCALE_GUARD_G
    limits: tuple[CarLimit, ...] = ()
    minutes: WorkMinutes = USUAL_MINUTES
    rank: Rank = Rank.GAIN

    def in_class(self, rules: ClassRules) -> Wish:
        """Return the wish with the limits of a class; a mass limit that was typed stays."""
        limits = {one.quantity: one for one in rules.limits}
        mass = limits.get("mass_g")
        most_g = self.mass_limit_g
        if most_g is None and mass is not None:
            most_g = mass.most
        lengths = tuple(
            CarLimit(name, limits[name].least, limits[name].most, rules.caliper_guard_mm)
            for name in LIMITED
            if name in limits
        )
        return dataclasses.replace(
            self, mass_limit_g=most_g, scale_guard_g=rules.scale_guard_g, limits=lengths
        )


@dataclass(frozen=True, slots=True)
class CarAdvice:
    """What would help a car on a hill.

    Attributes
    ----------
    status
        Status of the fit it rests on.
    sentence
        The answer in one sentence.
    time_s
        Typical time as the car is, s; None where it may not finish.
    advice
        Each change, best first.
    readings, readings_about
        What further readings would tell of the gain of that change, best first.
    notes
        What cannot be known and what does not fit, a sentence each.
    run_count
        Runs of this car that it rests on.
    target_time_s
        Time that was to be reached, s; None for none.
    currency
        Of the costs, by its code.
    """

    status: str
    sentence: str
    time_s: float | None
    advice: tuple[Advice, ...]
    readings: tuple[Expected, ...]
    readings_about: str
    notes: tuple[str, ...]
    run_count: int
    target_time_s: float | None
    currency: str


def advise_car(
    gathered: Gathered, kept: KeptFit, car_id: int, wish: Wish, drawer: Drawer
) -> CarAdvice:
    """Return what would help a car on the track whose runs were gathered.

    Parameters
    ----------
    gathered
        What was measured, gathered with this car.
    kept
        The fit of it; the same whatever the wish.
    car_id
        The car.
    wish
        What the builder is after.
    drawer
        What is in the drawer, for what changes cost and for other wheels.

    Raises
    ------
    InvalidInput
        If target, limit or minutes cannot be.
    """
    setup = gathered.now[car_id]
    question = AdviceQuestion(
        **fields_of(gathered.evidence),
        advised_car=setup.name,
        state=setup.state,
        mass_g=setup.car.mass_g,
        cg_ahead_of_rear_axle_mm=setup.car.cg_ahead_of_rear_axle_mm,
        target_time_s=wish.target_time_s,
        mass_limit_g=wish.mass_limit_g,
        scale_guard_g=wish.scale_guard_g,
        limits=wish.limits,
        changes=_changes(gathered, setup, wish, drawer),
        minutes=wish.minutes,
        currency=drawer.currency,
        rank_by=str(wish.rank),
        seed=FIT_SEED,
    )
    changes = asked_changes(question, setup)
    fitted = take_up(kept, gathered, asked_about(setup, changes))
    advised = judge_changes(fitted, setup, changes, question)
    found = advised.found
    answer = advice_answer(advised)
    return CarAdvice(
        status=answer.status,
        sentence=answer.sentence,
        time_s=advised.time_s,
        advice=advised.advice,
        readings=advised.readings,
        readings_about=advised.about,
        notes=(
            *gathered.notes,
            *tell_notes(found.fit, found.findings, found.misfit, name_runs=False),
        ),
        run_count=sum(run.car_id == car_id for run in gathered.runs),
        target_time_s=wish.target_time_s,
        currency=drawer.currency,
    )


def _changes(gathered: Gathered, setup: Setup, wish: Wish, drawer: Drawer) -> tuple[Change, ...]:
    """Return the usual changes, but none back to a state of the bearings that is over."""
    usual = suggest_changes(gathered.evidence, setup, wish.mass_limit_g, wish.scale_guard_g)
    open_ones = [one for one in usual if one.state is None or one.state in BEARING_MEDIANS]
    return price_changes([*open_ones, *wheel_changes(setup, drawer)], setup, drawer)
