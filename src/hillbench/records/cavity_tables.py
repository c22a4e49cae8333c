"""Tables of cavities and of ballast plans."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from hillbench.records.tables import Removable


class CavityRow(Removable):
    """The inside of a casting as it was measured once; the latest in use counts."""

    __tablename__ = "cavity"
    __table_args__ = (Index("ix_cavity_casting_id_at", "casting_id", "at"),)

    casting_id: Mapped[int] = mapped_column(ForeignKey("casting.id"))
    at: Mapped[datetime]
    body_style: Mapped[str]
    measured: Mapped[dict[str, Any]]
    note: Mapped[str]


class BallastPlanRow(Removable):
    """Which piece of ballast goes where in a car: one of its alternatives."""

    __tablename__ = "ballast_plan"
    __table_args__ = (Index("ix_ballast_plan_car_id_made_at", "car_id", "made_at"),)

    car_id: Mapped[int] = mapped_column(ForeignKey("car.id"))
    made_at: Mapped[datetime]
    chosen_at: Mapped[datetime | None]
    name: Mapped[str]
    question_key: Mapped[str] = mapped_column(String(64))
    question: Mapped[dict[str, Any]]
    plan: Mapped[dict[str, Any]]
    answer: Mapped[dict[str, Any]]
