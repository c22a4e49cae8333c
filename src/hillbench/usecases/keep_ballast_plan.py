"""Keep ballast plans as alternatives of a car, choose one, and read them again."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from hillbench.ballast.clearance import TightPlace, tight_places
from hillbench.ballast.plan import Plan, Step, steps_of
from hillbench.ballast.task import BallastTask
from hillbench.errors import NotFound
from hillbench.records import ballast_plan_store
from hillbench.records.ballast_plan_store import BallastPlanRecord
from hillbench.records.bench_book import BenchBook
from hillbench.records.names import clean_name
from hillbench.usecases.plan_ballast import Planned, answer_of, tell_plan
from hillbench.usecases.question import read_question, write_question


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A plan read back from the bench book.

    Attributes
    ----------
    record
        As it is kept.
    task
        What was asked.
    plan
        What goes where.
    sentence
        The answer in one sentence.
    """

    record: BallastPlanRecord
    task: BallastTask
    plan: Plan
    sentence: str

    @property
    def answer(self) -> Mapping[str, Any]:
        """As `hillbench ballast --json` tells it."""
        return self.record.answer

    @property
    def bare_g(self) -> float:
        """Mass of the car without its ballast, g."""
        return sum(thing.mass_g for thing in self.task.fixed)

    @property
    def spare_g(self) -> float:
        """How far the whole car stays below the limit of its class, g."""
        return self.task.limit_g - self.plan.total_g

    def steps(self) -> tuple[Step, ...]:
        """Return what to do in building order, with what the scale shows after each."""
        return steps_of(self.plan, self.bare_g)

    def tight(self, most: int = 4) -> tuple[TightPlace, ...]:
        """Return the tightest places."""
        return tight_places(self.task, self.plan, most)


def keep_ballast_plan(
    book: BenchBook,
    car_id: int,
    planned: Planned,
    key: str,
    name: str,
    now: datetime,
    *,
    race_class: str = "",
) -> BallastPlanRecord:
    """Keep a plan as an alternative of a car.

    Parameters
    ----------
    book
        Where it is kept.
    car_id
        The car.
    planned
        The plan with its question.
    key
        Names the question.
    name
        In a few words.
    now
        When it was worked out, UTC.
    race_class
        Name of the class whose limit it keeps; empty for a limit of one's own.

    Raises
    ------
    InvalidInput
        If the name will not do.
    NotFound
        If there is no such car.
    """
    told = {"sentence": tell_plan(planned), "race_class": race_class}
    answer = dataclasses.asdict(answer_of(planned)) | told
    record = BallastPlanRecord(
        id=0,
        car_id=car_id,
        made_at=now,
        chosen_at=None,
        name=clean_name(name),
        question_key=key,
        question=write_question(planned.task),
        plan=dataclasses.asdict(planned.plan),
        answer=answer,
    )
    with book.write() as session:
        return ballast_plan_store.add_ballast_plan(session, record)


def read_kept_plan(record: BallastPlanRecord) -> KeptPlan:
    """Return a kept plan with its places."""
    return KeptPlan(
        record=record,
        task=read_question(json.dumps(record.question), BallastTask),
        plan=read_question(json.dumps(record.plan), Plan),
        sentence=str(record.answer.get("sentence", "")),
    )


def find_kept_plan(book: BenchBook, car_id: int, plan_id: int) -> KeptPlan:
    """Return a plan of a car, removed or not.

    Raises
    ------
    NotFound
        If there is no such plan of that car.
    """
    with book.read() as session:
        record = ballast_plan_store.find_ballast_plan(session, plan_id)
    if record.car_id != car_id:
        raise NotFound("ballast plan", plan_id)
    return read_kept_plan(record)


def list_kept_plans(book: BenchBook, car_id: int) -> tuple[KeptPlan, ...]:
    """Return the alternatives of a car, the latest first."""
    with book.read() as session:
        records = ballast_plan_store.list_ballast_plans(session, car_id)
    return tuple(read_kept_plan(record) for record in records)


def find_chosen_plan(book: BenchBook, car_id: int) -> KeptPlan | None:
    """Return the plan a car is to be built by, None where none is chosen."""
    with book.read() as session:
        record = ballast_plan_store.chosen_ballast_plan(session, car_id)
    return None if record is None else read_kept_plan(record)


def choose_plan(book: BenchBook, plan_id: int, now: datetime | None) -> BallastPlanRecord:
    """Choose a plan to build by, and no other of its car; None takes the choice back."""
    with book.write() as session:
        return ballast_plan_store.choose_ballast_plan(session, plan_id, now)
