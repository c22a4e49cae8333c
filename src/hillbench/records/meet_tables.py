"""Tables of race day: classes, seasons, meets with their journal, and who was invited."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from hillbench.records.tables import IN_USE, Base, Named


def _unique_name(table: str) -> Index:
    return Index(
        f"uq_{table}_name_key",
        "name_key",
        unique=True,
        sqlite_where=IN_USE,
        postgresql_where=IN_USE,
    )


class RaceClassRow(Named):
    """The rules cars are built to."""

    __tablename__ = "race_class"
    __table_args__ = (_unique_name("race_class"),)

    rules: Mapped[dict[str, Any]]
    from_on: Mapped[str | None] = mapped_column(String(10))
    until_on: Mapped[str | None] = mapped_column(String(10))
    copied_from_id: Mapped[int | None] = mapped_column(ForeignKey("race_class.id"))


class SeasonRow(Named):
    """Meets that count together."""

    __tablename__ = "season"
    __table_args__ = (_unique_name("season"),)

    rule: Mapped[dict[str, Any]]


class MeetRow(Named):
    """A race day; what happens at it is in its journal."""

    __tablename__ = "meet"
    __table_args__ = (_unique_name("meet"), Index("ix_meet_held_on", "held_on"))

    held_on: Mapped[str] = mapped_column(String(10))
    track_id: Mapped[int | None] = mapped_column(ForeignKey("track.id"))
    race_class_id: Mapped[int | None] = mapped_column(ForeignKey("race_class.id"))
    season_id: Mapped[int | None] = mapped_column(ForeignKey("season.id"), index=True)


class MeetEventRow(Base):
    """One line of the journal of a meet; lines are added and never changed."""

    __tablename__ = "meet_event"
    __table_args__ = (
        UniqueConstraint("meet_id", "seq"),
        Index("uq_meet_event_meet_id_entry_key", "meet_id", "entry_key", unique=True),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    meet_id: Mapped[int] = mapped_column(ForeignKey("meet.id"))
    seq: Mapped[int]
    batch: Mapped[int]
    kind: Mapped[str]
    payload: Mapped[dict[str, Any]]
    at: Mapped[datetime]
    by: Mapped[str]
    entry_key: Mapped[str | None] = mapped_column(String(64))


class ScrutinyPhotoRow(Base):
    """A photo taken at scrutiny."""

    __tablename__ = "scrutiny_photo"

    id: Mapped[int] = mapped_column(primary_key=True)
    meet_id: Mapped[int] = mapped_column(ForeignKey("meet.id"), index=True)
    car: Mapped[int]
    sha256: Mapped[str] = mapped_column(String(64), index=True)
    media_type: Mapped[str]
    width_px: Mapped[int]
    height_px: Mapped[int]
    at: Mapped[datetime]


class InvitationRow(Base):
    """A link that lets other devices in, with a role; its secret is kept as a digest only."""

    __tablename__ = "invitation"

    id: Mapped[int] = mapped_column(primary_key=True)
    meet_id: Mapped[int | None] = mapped_column(ForeignKey("meet.id"), index=True)
    role: Mapped[str]
    label: Mapped[str]
    secret_sha256: Mapped[str] = mapped_column(String(64))
    made_at: Mapped[datetime]
    expires_at: Mapped[datetime]
    revoked_at: Mapped[datetime | None]
    joined: Mapped[int]
    joined_at: Mapped[datetime | None]
