"""The tables of tests at the bench: spin-downs, roll tests, coast-outs and rub checks."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from hillbench.records.tables import Removable


class BenchTest(Removable):
    """A test of one car."""

    __abstract__ = True

    car_id: Mapped[int] = mapped_column(ForeignKey("car.id"))
    at: Mapped[datetime]
    note: Mapped[str]


class SpinDownRow(BenchTest):
    """One wheel spun several times in one state of its bearing."""

    __tablename__ = "spin_down"
    __table_args__ = (Index("ix_spin_down_car_id_at", "car_id", "at"),)

    wheel: Mapped[str]
    lubricant: Mapped[str]
    round_number: Mapped[int]
    stop_times_s: Mapped[list[float]] = mapped_column(JSON)
    start_turns_per_s: Mapped[list[float]] = mapped_column(JSON)
    start_uncertainty_turns_per_s: Mapped[float | None]
    turns: Mapped[list[float]] = mapped_column(JSON)
    timed_by: Mapped[str]


class RollTestRow(BenchTest):
    """Rolls of one car over a flat floor."""

    __tablename__ = "roll_test"
    __table_args__ = (Index("ix_roll_test_car_id_at", "car_id", "at"),)

    rolls: Mapped[list[dict[str, Any]]] = mapped_column(JSON)
    drift_uncertainty_mm: Mapped[float]
    aim_uncertainty_deg: Mapped[float]
    straightened: Mapped[bool]


class CoastOutRow(BenchTest):
    """How far one car coasted, on a flat surface or down a hill until it stood."""

    __tablename__ = "coast_out"
    __table_args__ = (Index("ix_coast_out_car_id_at", "car_id", "at"),)

    surface: Mapped[str]
    track_version_id: Mapped[int | None] = mapped_column(ForeignKey("track_version.id"), index=True)
    track_id: Mapped[int | None] = mapped_column(ForeignKey("track.id"))
    distances_m: Mapped[list[float]] = mapped_column(JSON)
    entry_speed_m_s: Mapped[float | None]
    entry_speed_uncertainty_m_s: Mapped[float | None]
    level_uncertainty_deg: Mapped[float]


class RubCheckRow(BenchTest):
    """What was looked at for rubbing, and what was seen."""

    __tablename__ = "rub_check"
    __table_args__ = (Index("ix_rub_check_car_id_at", "car_id", "at"),)

    answers: Mapped[dict[str, Any]] = mapped_column(JSON)
