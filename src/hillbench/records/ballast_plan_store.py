"""Ballast plans of cars: alternatives, of which at most one is chosen."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from hillbench.records.car_store import find_car, touch_car
from hillbench.records.cavity_tables import BallastPlanRow
from hillbench.records.removal import find_row, in_use


@dataclass(frozen=True, slots=True)
class BallastPlanRecord:
    """One alternative of a car.

    Attributes
    ----------
    chosen_at
        When it was chosen to be built, UTC; None for an alternative.
    name
        In a few words.
    question_key
        Names the question: the same question has the same key.
    question
        What was asked, as in the file of `hillbench ballast`.
    plan
        The places in millimetres, as `hillbench.ballast.plan.Plan` in JSON.
    answer
        As `hillbench ballast --json` tells it.
    """

    id: int
    car_id: int
    made_at: datetime
    chosen_at: datetime | None
    name: str
    question_key: str
    question: dict[str, Any]
    plan: dict[str, Any]
    answer: dict[str, Any]
    removed_at: datetime | None = None


def add_ballast_plan(session: Session, plan: BallastPlanRecord) -> BallastPlanRecord:
    """Keep an alternative; its number is given here, whatever it says.

    Raises
    ------
    NotFound
        If there is no such car.
    """
    find_car(session, plan.car_id)
    row = BallastPlanRow(
        car_id=plan.car_id,
        made_at=plan.made_at,
        chosen_at=plan.chosen_at,
        name=plan.name,
        question_key=plan.question_key,
        question=plan.question,
        plan=plan.plan,
        answer=plan.answer,
    )
    session.add(row)
    session.flush()
    return _record(row)


def find_ballast_plan(session: Session, plan_id: int) -> BallastPlanRecord:
    """Return one plan, removed or not; raise `NotFound` if there is none."""
    return _record(find_row(session, BallastPlanRow, plan_id))


def list_ballast_plans(
    session: Session, car_id: int, *, include_removed: bool = False
) -> tuple[BallastPlanRecord, ...]:
    """Return the alternatives of a car, the latest first."""
    query = select(BallastPlanRow).where(BallastPlanRow.car_id == car_id)
    query = in_use(query, BallastPlanRow, include_removed=include_removed)
    query = query.order_by(BallastPlanRow.made_at.desc(), BallastPlanRow.id.desc())
    return tuple(_record(row) for row in session.scalars(query))


def chosen_ballast_plan(session: Session, car_id: int) -> BallastPlanRecord | None:
    """Return the plan a car is to be built by, None where none is chosen."""
    chosen = [one for one in list_ballast_plans(session, car_id) if one.chosen_at is not None]
    return chosen[0] if chosen else None


def choose_ballast_plan(session: Session, plan_id: int, now: datetime | None) -> BallastPlanRecord:
    """Choose a plan and no other of its car; None takes the choice back.

    Raises
    ------
    NotFound
        If there is no such plan.
    """
    row = find_row(session, BallastPlanRow, plan_id)
    session.execute(
        update(BallastPlanRow)
        .where(BallastPlanRow.car_id == row.car_id, BallastPlanRow.id != plan_id)
        .values(chosen_at=None)
    )
    row.chosen_at = now
    if now is not None:
        touch_car(session, row.car_id, now)
    session.flush()
    return _record(row)


def _record(row: BallastPlanRow) -> BallastPlanRecord:
    return BallastPlanRecord(
        id=row.id,
        car_id=row.car_id,
        made_at=row.made_at,
        chosen_at=row.chosen_at,
        name=row.name,
        question_key=row.question_key,
        question=row.question,
        plan=row.plan,
        answer=row.answer,
        removed_at=row.removed_at,
    )
