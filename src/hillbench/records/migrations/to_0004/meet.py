"""Race day: classes, seasons, meets, their journals, photos of scrutiny, invitations."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

MOMENT = sa.String(27)
DAY = sa.String(10)
IN_USE = sa.text("removed_at IS NULL")


def upgrade() -> None:
    """Add six tables."""
    _named(
        "race_class",
        sa.Column("rules", sa.JSON(), nullable=False),
        sa.Column("from_on", DAY, nullable=True),
        sa.Column("until_on", DAY, nullable=True),
        sa.Column("copied_from_id", sa.Integer(), nullable=True),
        _reference("race_class", "copied_from_id", "race_class"),
    )
    _named("season", sa.Column("rule", sa.JSON(), nullable=False))
    _named(
        "meet",
        sa.Column("held_on", DAY, nullable=False),
        sa.Column("track_id", sa.Integer(), nullable=True),
        sa.Column("race_class_id", sa.Integer(), nullable=True),
        sa.Column("season_id", sa.Integer(), nullable=True),
        _reference("meet", "track_id", "track"),
        _reference("meet", "race_class_id", "race_class"),
        _reference("meet", "season_id", "season"),
    )
    op.create_index("ix_meet_held_on", "meet", ["held_on"])
    op.create_index("ix_meet_season_id", "meet", ["season_id"])
    _journal()
    _photos()
    _invitations()


def _journal() -> None:
    op.create_table(
        "meet_event",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("meet_id", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("batch", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("payload", sa.JSON(), nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("entry_key", sa.String(64), nullable=True),
        _reference("meet_event", "meet_id", "meet"),
        sa.PrimaryKeyConstraint("id", name="pk_meet_event"),
        sa.UniqueConstraint("meet_id", "seq", name="uq_meet_event_meet_id_seq"),
    )
    columns = ["meet_id", "entry_key"]
    op.create_index("uq_meet_event_meet_id_entry_key", "meet_event", columns, unique=True)


def _photos() -> None:
    op.create_table(
        "scrutiny_photo",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("meet_id", sa.Integer(), nullable=False),
        sa.Column("car", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("media_type", sa.String(), nullable=False),
        sa.Column("width_px", sa.Integer(), nullable=False),
        sa.Column("height_px", sa.Integer(), nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        _reference("scrutiny_photo", "meet_id", "meet"),
        sa.PrimaryKeyConstraint("id", name="pk_scrutiny_photo"),
    )
    op.create_index("ix_scrutiny_photo_meet_id", "scrutiny_photo", ["meet_id"])
    op.create_index("ix_scrutiny_photo_sha256", "scrutiny_photo", ["sha256"])


def _invitations() -> None:
    op.create_table(
        "invitation",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("meet_id", sa.Integer(), nullable=True),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("label", sa.String(), nullable=False),
        sa.Column("secret_sha256", sa.String(64), nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("expires_at", MOMENT, nullable=False),
        sa.Column("revoked_at", MOMENT, nullable=True),
        sa.Column("joined", sa.Integer(), nullable=False),
        sa.Column("joined_at", MOMENT, nullable=True),
        _reference("invitation", "meet_id", "meet"),
        sa.PrimaryKeyConstraint("id", name="pk_invitation"),
    )
    op.create_index("ix_invitation_meet_id", "invitation", ["meet_id"])


def _named(table: str, *columns: sa.Column[object] | sa.ForeignKeyConstraint) -> None:
    op.create_table(
        table,
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_key", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("created_at", MOMENT, nullable=False),
        sa.Column("changed_at", MOMENT, nullable=False),
        *columns,
        sa.PrimaryKeyConstraint("id", name=f"pk_{table}"),
    )
    op.create_index(
        f"uq_{table}_name_key",
        table,
        ["name_key"],
        unique=True,
        sqlite_where=IN_USE,
        postgresql_where=IN_USE,
    )


def _reference(table: str, column: str, to: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{to}.id"], name=f"fk_{table}_{column}")
