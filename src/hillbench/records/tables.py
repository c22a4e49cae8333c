"""The tables of the bench book. Change them only together with a migration."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any, ClassVar, Final

from sqlalchemy import (
    JSON,
    CheckConstraint,
    Dialect,
    ForeignKey,
    Index,
    MetaData,
    String,
    UniqueConstraint,
    text,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship
from sqlalchemy.types import TypeDecorator

IN_USE: Final = text("removed_at IS NULL")


class UtcTime(TypeDecorator[datetime]):
    """A moment as text of fixed width in UTC, so that text order is time order."""

    impl = String(27)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:  # noqa: ARG002 (signature of SQLAlchemy)
        """Write a moment; a time without its zone is a mistake of the program."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a time needs its time zone")
        return f"{value.astimezone(UTC).replace(tzinfo=None).isoformat(timespec='microseconds')}Z"

    def process_result_value(self, value: str | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002 (signature of SQLAlchemy)
        """Read a moment."""
        return None if value is None else datetime.fromisoformat(value)


class Base(DeclarativeBase):
    """Base of every table."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map: ClassVar = {datetime: UtcTime, dict[str, Any]: JSON, list[float]: JSON}


class Removable(Base):
    """A row that is taken out of use by a date, never deleted."""

    __abstract__ = True

    id: Mapped[int] = mapped_column(primary_key=True)
    removed_at: Mapped[datetime | None]


NAME_KEY: Final = String().with_variant(String(collation="C"), "postgresql")
"""Sorted by its letters' numbers, so that the order is the same on every database."""


def unique_in_use(table: str) -> Index:
    """Return the index by which no two things in use have one name."""
    return Index(
        f"uq_{table}_name_key", "name_key", unique=True, sqlite_where=IN_USE,
        postgresql_where=IN_USE,
    )  # fmt: skip


class Named(Removable):
    """A row with a name that no other row in use has."""

    __abstract__ = True

    name: Mapped[str]
    name_key: Mapped[str] = mapped_column(NAME_KEY)
    note: Mapped[str]
    created_at: Mapped[datetime]
    changed_at: Mapped[datetime]


class AboutRow(Base):
    """What the bench book says about itself, one word each."""

    __tablename__ = "about"

    key: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[str]


class CastingRow(Named):
    """A casting."""

    __tablename__ = "casting"
    __table_args__ = (unique_in_use("casting"),)


class CarRow(Named):
    """A car."""

    __tablename__ = "car"
    __table_args__ = (unique_in_use("car"),)

    casting_id: Mapped[int] = mapped_column(ForeignKey("casting.id"), index=True)
    casting: Mapped[CastingRow] = relationship(lazy="joined", innerjoin=True)


class TrackRow(Named):
    """A track; what a run depends on is in its versions."""

    __tablename__ = "track"
    __table_args__ = (unique_in_use("track"),)


class TrackVersionRow(Base):
    """A track as it was from one edit to the next."""

    __tablename__ = "track_version"
    __table_args__ = (UniqueConstraint("track_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    track_id: Mapped[int] = mapped_column(ForeignKey("track.id"))
    number: Mapped[int]
    geometry: Mapped[dict[str, Any]]
    rolling_resistance: Mapped[float]
    wall_friction: Mapped[float]
    latitude_deg: Mapped[float | None]
    altitude_m: Mapped[float | None]
    temperature_c: Mapped[float | None]
    created_at: Mapped[datetime]


class WeighingRow(Removable):
    """One weighing with all its readings."""

    __tablename__ = "weighing"
    __table_args__ = (Index("ix_weighing_car_id_at", "car_id", "at"),)

    car_id: Mapped[int] = mapped_column(ForeignKey("car.id"))
    at: Mapped[datetime]
    scale_resolution_g: Mapped[float]
    readings_g: Mapped[list[float]]
    note: Mapped[str]


class ReadingRow(Removable):
    """One quantity of a car, as read."""

    __tablename__ = "reading"
    __table_args__ = (Index("ix_reading_car_id_quantity_at", "car_id", "quantity", "at"),)

    car_id: Mapped[int] = mapped_column(ForeignKey("car.id"))
    quantity: Mapped[str]
    value: Mapped[float]
    resolution: Mapped[float | None]
    at: Mapped[datetime]
    note: Mapped[str]


class PhotoRow(Removable):
    """A photo of exactly one thing."""

    __tablename__ = "photo"
    __table_args__ = (
        CheckConstraint(
            "(car_id IS NOT NULL) + (track_id IS NOT NULL) + (casting_id IS NOT NULL) = 1",
            name="one_subject",
        ),
    )

    car_id: Mapped[int | None] = mapped_column(ForeignKey("car.id"), index=True)
    track_id: Mapped[int | None] = mapped_column(ForeignKey("track.id"), index=True)
    casting_id: Mapped[int | None] = mapped_column(ForeignKey("casting.id"), index=True)
    sha256: Mapped[str] = mapped_column(String(64), index=True)
    media_type: Mapped[str]
    width_px: Mapped[int]
    height_px: Mapped[int]
    caption: Mapped[str]
    at: Mapped[datetime]


class TimedRunRow(Removable):
    """One timed descent."""

    __tablename__ = "timed_run"
    __table_args__ = (
        Index("ix_timed_run_track_id_car_id_at", "track_id", "car_id", "at"),
        Index("ix_timed_run_car_id_at", "car_id", "at"),
        Index("ix_timed_run_track_id_at", "track_id", "at"),
        Index("ix_timed_run_outing_id_number", "outing_id", "number"),
        Index("uq_timed_run_entry_key", "entry_key", unique=True),
    )

    track_version_id: Mapped[int] = mapped_column(ForeignKey("track_version.id"), index=True)
    track_id: Mapped[int] = mapped_column(ForeignKey("track.id"))
    car_id: Mapped[int] = mapped_column(ForeignKey("car.id"))
    finish_time_s: Mapped[float | None]
    note: Mapped[str]
    at: Mapped[datetime]
    outing_id: Mapped[int | None] = mapped_column(ForeignKey("outing.id"))
    number: Mapped[int | None]
    lane: Mapped[str | None]
    entry_key: Mapped[str | None]
    time_source: Mapped[str] = mapped_column(default="typed", server_default="typed")
    time_uncertainty_s: Mapped[float | None]
    gate_times_s: Mapped[list[float | None] | None] = mapped_column(JSON(none_as_null=True))


class OutingRow(Removable):
    """Runs made in one go."""

    __tablename__ = "outing"
    __table_args__ = (
        Index("ix_outing_track_id_begun_at", "track_id", "begun_at"),
        Index("ix_outing_begun_at", "begun_at"),
    )

    track_version_id: Mapped[int] = mapped_column(ForeignKey("track_version.id"))
    track_id: Mapped[int] = mapped_column(ForeignKey("track.id"))
    begun_at: Mapped[datetime]
    matters_s: Mapped[float | None]
    temperature_c: Mapped[float | None]
    humidity_percent: Mapped[float | None]
    surface_cleaned: Mapped[bool | None]
    lubricant_note: Mapped[str]
    note: Mapped[str]
    plan: Mapped[dict[str, Any]]


class RunEditRow(Base):
    """What a timed run said before it was edited."""

    __tablename__ = "run_edit"

    id: Mapped[int] = mapped_column(primary_key=True)
    run_id: Mapped[int] = mapped_column(ForeignKey("timed_run.id"), index=True)
    at: Mapped[datetime]
    finish_time_s: Mapped[float | None]
    note: Mapped[str]
    lane: Mapped[str | None]
    car_id: Mapped[int] = mapped_column(ForeignKey("car.id"))
    gate_times_s: Mapped[list[float | None] | None] = mapped_column(JSON(none_as_null=True))


class ImportRuleRow(Removable):
    """How times of one origin are read."""

    __tablename__ = "import_rule"
    __table_args__ = (Index("ix_import_rule_kind_name", "kind", "name"),)

    kind: Mapped[str]
    name: Mapped[str]
    rule: Mapped[dict[str, Any]]
    created_at: Mapped[datetime]


class ForecastRow(Removable):
    """What a change was forecast to gain."""

    __tablename__ = "forecast"
    __table_args__ = (Index("ix_forecast_car_id_made_at", "car_id", "made_at"),)

    track_version_id: Mapped[int] = mapped_column(ForeignKey("track_version.id"))
    track_id: Mapped[int] = mapped_column(ForeignKey("track.id"))
    car_id: Mapped[int] = mapped_column(ForeignKey("car.id"))
    made_at: Mapped[datetime]
    done_at: Mapped[datetime | None]
    change_name: Mapped[str]
    change: Mapped[dict[str, Any]]
    verdict: Mapped[str]
    time_s: Mapped[float]
    gain_s: Mapped[float]
    gain_low_s: Mapped[float]
    gain_high_s: Mapped[float]
    target_time_s: Mapped[float | None]
    probability_target: Mapped[float | None]


class FitResultRow(Base):
    """What a fit gave: it can be computed again at any time, and is thrown away first."""

    __tablename__ = "fit_result"
    __table_args__ = (
        Index("uq_fit_result_fit_key", "fit_key", unique=True),
        Index("ix_fit_result_track_version_id_car_id", "track_version_id", "car_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    track_version_id: Mapped[int] = mapped_column(ForeignKey("track_version.id"))
    car_id: Mapped[int | None] = mapped_column(ForeignKey("car.id"))
    fit_key: Mapped[str] = mapped_column(String(64))
    made_at: Mapped[datetime]
    result: Mapped[dict[str, Any]]
