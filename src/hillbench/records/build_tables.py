"""Tables of builds, their steps and the templates they can be made from."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from hillbench.records.tables import IN_USE, Named, Removable


class BuildRow(Removable):
    """One round of work on a car."""

    __tablename__ = "build"
    __table_args__ = (Index("ix_build_car_id_created_at", "car_id", "created_at"),)

    car_id: Mapped[int] = mapped_column(ForeignKey("car.id"))
    name: Mapped[str]
    note: Mapped[str]
    state: Mapped[str]
    plan: Mapped[dict[str, Any]]
    limit_g: Mapped[float | None]
    other_scale_step_g: Mapped[float]
    meet_at: Mapped[datetime | None]
    bench_from_minute: Mapped[int]
    bench_to_minute: Mapped[int]
    current_key: Mapped[str]
    clock_seen_at: Mapped[datetime]
    created_at: Mapped[datetime]
    changed_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]


class BuildStepRow(Removable):
    """One step of a build, as planned and as done."""

    __tablename__ = "build_step"
    __table_args__ = (Index("ix_build_step_build_id_position", "build_id", "position"),)

    build_id: Mapped[int] = mapped_column(ForeignKey("build.id"))
    position: Mapped[int]
    key: Mapped[str]
    kind: Mapped[str]
    title: Mapped[str]
    text: Mapped[str]
    tool: Mapped[str]
    size: Mapped[str]
    depth_mm: Mapped[float | None]
    minutes: Mapped[float]
    wait_minutes: Mapped[float]
    wait_for: Mapped[str]
    waits_for: Mapped[list[str]] = mapped_column(JSON)
    cautions: Mapped[list[str]] = mapped_column(JSON)
    changes: Mapped[list[dict[str, Any]]] = mapped_column(JSON)
    draws: Mapped[list[dict[str, Any]]] = mapped_column(JSON)
    weighs: Mapped[bool]
    link: Mapped[str]
    done_at: Mapped[datetime | None]
    wait_ends_at: Mapped[datetime | None]
    note: Mapped[str]
    readings_g: Mapped[list[float]]
    scale_resolution_g: Mapped[float | None]
    weighing_id: Mapped[int | None] = mapped_column(ForeignKey("weighing.id"))
    photo_id: Mapped[int | None] = mapped_column(ForeignKey("photo.id"))
    draft: Mapped[dict[str, Any]]


class BuildTemplateRow(Named):
    """Steps to begin another build from."""

    __tablename__ = "build_template"
    __table_args__ = (
        Index(
            "uq_build_template_name_key",
            "name_key",
            unique=True,
            sqlite_where=IN_USE,
            postgresql_where=IN_USE,
        ),
    )

    steps: Mapped[list[dict[str, Any]]] = mapped_column(JSON)
