"""The insides of the invented castings, and the ballast plans of two of the cars."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from sqlalchemy.orm import Session

from hillbench.ballast.body_styles import TYPICAL_CAVITIES
from hillbench.ballast.cavity import KeepOut
from hillbench.ballast.measured_cavity import MeasuredCavity
from hillbench.ballast.stock import Putty, StockPiece
from hillbench.ballast.task import BallastTask, FixedMass
from hillbench.records.ballast_plan_store import BallastPlanRecord, add_ballast_plan
from hillbench.records.casting_store import find_casting_named
from hillbench.records.cavity_store import add_cavity
from hillbench.usecases.plan_car_ballast import BARE, BallastWish, question_key, task_of
from hillbench.usecases.question import write_question

PLANS_FILE: Final = Path(__file__).parent / "ballast_plans.json"
"""Answers of the planner to `QUESTIONS`, written by ``python -m tests.demo.write_plans``."""

_MEASURED_DAYS_AGO: Final = 10
_PLANNED_DAYS_AGO: Final = 8


def _measured(
    style: str,
    keep_outs: tuple[KeepOut, ...],
    *,
    front_post_mm: float | None = None,
    **readings: float,
) -> MeasuredCavity:
    typical = TYPICAL_CAVITIES[style]
    rear, front = typical.keep_outs
    if front_post_mm is not None:
        front = replace(front, x_mm=front_post_mm)
    return replace(
        typical,
        readings=replace(typical.readings, **readings),
        keep_outs=(rear, front, *keep_outs),
    )


def _seat(name: str, x_mm: tuple[float, float], top_mm: float) -> KeepOut:
    return KeepOut(name, "box", x_mm, (-8.5, 8.5), (None, top_mm), None, 0.0)


CAVITIES: Final[Mapping[str, MeasuredCavity]] = {
    "Brindlewick Wagon": _measured(
        "van",
        (),
        front_post_mm=37.5,
        wheelbase_mm=44.2,
        rear_overhang_mm=12.4,
        width_mm=21.8,
        roof_mm=13.6,
        deck_mm=12.8,
        bonnet_mm=5.6,
        rear_glass_foot_mm=-12.4,
        rear_glass_top_mm=-9.5,
        windscreen_top_mm=22.5,
        windscreen_foot_mm=32.0,
        belt_mm=6.8,
        roof_width_mm=17.2,
        axle_height_mm=5.4,
    ),
    "Pellworth Coupé": _measured(
        "coupé",
        (_seat("rear seat", (6.0, 10.5), 6.9),),
        wheelbase_mm=42.6,
        rear_overhang_mm=9.6,
        width_mm=20.4,
        roof_mm=10.4,
        windscreen_foot_mm=30.0,
    ),
    "Ruddock Van": _measured("van", (), wheelbase_mm=41.0, width_mm=22.2),
    "Oakum Flatbed": _measured("truck", (), wheelbase_mm=46.0, deck_mm=4.2),
    "Merrow Roadster": _measured(
        "open car", (_seat("driver", (11.0, 16.0), 7.5),), wheelbase_mm=36.8, roof_mm=4.6
    ),
}
"""By the name of the casting."""

_QUARTER: Final = StockPiece(
    "lead quarter ounce", (19.0, 12.7, 2.6), 4, 7.09, lie_flat=True, metal="lead"
)
_CUBE: Final = StockPiece("tungsten cube 5 mm", (5.0, 5.0, 5.0), 3, 2.31, metal="tungsten")
_BAR: Final = StockPiece("steel bar", (20.0, 6.0, 3.0), 2, 2.83, lie_flat=True, metal="steel")


@dataclass(frozen=True, slots=True)
class DemoQuestion:
    """One question to the planner.

    Attributes
    ----------
    car, casting
        Names of the car and of its casting.
    name
        What the plan is called.
    wish
        What it is to reach and with what.
    chosen
        Whether the car is built by it.
    """

    car: str
    casting: str
    name: str
    wish: BallastWish
    chosen: bool = False

    def task(self) -> BallastTask:
        """Return the question to the planner."""
        return task_of(CAVITIES[self.casting], self.wish)


def _wish(limit_g: float, mass_g: float, x_mm: float, z_mm: float) -> BallastWish:
    return BallastWish(
        limit_g=limit_g,
        scale_guard_g=0.05,
        window=(0.4, 0.5),
        side_max_mm=0.5,
        fixed=(
            FixedMass(BARE, mass_g, x_mm, 0.0, z_mm),
            FixedMass("drilled rivets", -0.3, 20.0, 0.0, 5.0),
        ),
        stock=(_QUARTER, _CUBE, _BAR),
        putty=Putty(9.5, 2.0),
    )


_WAGON: Final = _wish(57.0, 30.95, 19.9, 9.0)
_COUPE: Final = _wish(60.0, 34.61, 19.1, 7.9)

QUESTIONS: Final = (
    DemoQuestion(
        "Late Edition",
        "Brindlewick Wagon",
        "57 g, all that is in the drawer",
        _WAGON,
        chosen=True,
    ),
    DemoQuestion(
        "Late Edition",
        "Brindlewick Wagon",
        "57 g without putty",
        replace(_WAGON, putty=None),
    ),
    DemoQuestion(
        "Second Helping",
        "Pellworth Coupé",
        "60 g with the rear seat left in",
        replace(_COUPE, stock=(_QUARTER, _BAR), putty=None),
    ),
)
"""What was asked, in the order asked."""


def fill_weights(session: Session, car_ids: Mapping[str, int], now: datetime) -> None:
    """Add the cavities and the plans.

    Parameters
    ----------
    session
        A session that writes.
    car_ids
        Number of each car by its name.
    now
        Present moment, UTC.
    """
    measured_at = now - timedelta(days=_MEASURED_DAYS_AGO)
    for name, measured in CAVITIES.items():
        casting = find_casting_named(session, name)
        if casting is not None:
            stored = write_question(measured)
            add_cavity(session, casting, measured.body_style, stored, "", measured_at)
    planned_at = now - timedelta(days=_PLANNED_DAYS_AGO)
    answers = json.loads(PLANS_FILE.read_text(encoding="utf-8"))
    for number, (question, answer) in enumerate(zip(QUESTIONS, answers, strict=True)):
        car_id = car_ids[question.car]
        at = planned_at + timedelta(minutes=4 * number)
        record = BallastPlanRecord(
            id=0,
            car_id=car_id,
            made_at=at,
            chosen_at=at + timedelta(minutes=20) if question.chosen else None,
            name=question.name,
            question_key=question_key(car_id, question.task()),
            question=write_question(question.task()),
            plan=answer["plan"],
            answer=answer["answer"],
        )
        add_ballast_plan(session, record)
