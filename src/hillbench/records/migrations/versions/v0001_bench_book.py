"""The first schema: tracks, castings, cars and what was read, photographed and timed."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

APPLICATION_ID = 0x48424342
MOMENT = sa.String(27)
NAME_KEY = sa.String().with_variant(sa.String(collation="C"), "postgresql")
IN_USE = sa.text("removed_at IS NULL")


def upgrade() -> None:
    """Make every table."""
    if op.get_bind().dialect.name == "sqlite":
        op.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    op.create_table(
        "about",
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_about"),
    )
    _create_named("casting")
    _create_named(
        "car",
        sa.Column("casting_id", sa.Integer(), nullable=False),
        _reference("car", "casting"),
    )
    op.create_index("ix_car_casting_id", "car", ["casting_id"])
    _create_named("track")
    _create_track_version()
    _create_weighing()
    _create_reading()
    _create_photo()
    _create_timed_run()


def _reference(table: str, to: str) -> sa.ForeignKeyConstraint:
    column = f"{to}_id"
    return sa.ForeignKeyConstraint([column], [f"{to}.id"], name=f"fk_{table}_{column}")


def _create_named(table: str, *more: sa.schema.SchemaItem) -> None:
    op.create_table(
        table,
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_key", NAME_KEY, nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("created_at", MOMENT, nullable=False),
        sa.Column("changed_at", MOMENT, nullable=False),
        *more,
        sa.PrimaryKeyConstraint("id", name=f"pk_{table}"),
    )
    op.create_index(
        f"uq_{table}_name_key", table, ["name_key"], unique=True, sqlite_where=IN_USE,
        postgresql_where=IN_USE,
    )  # fmt: skip


def _create_track_version() -> None:
    op.create_table(
        "track_version",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("track_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("geometry", sa.JSON(), nullable=False),
        sa.Column("rolling_resistance", sa.Double(), nullable=False),
        sa.Column("wall_friction", sa.Double(), nullable=False),
        sa.Column("latitude_deg", sa.Double(), nullable=True),
        sa.Column("altitude_m", sa.Double(), nullable=True),
        sa.Column("temperature_c", sa.Double(), nullable=True),
        sa.Column("created_at", MOMENT, nullable=False),
        _reference("track_version", "track"),
        sa.PrimaryKeyConstraint("id", name="pk_track_version"),
        sa.UniqueConstraint("track_id", "number", name="uq_track_version_track_id_number"),
    )


def _create_weighing() -> None:
    op.create_table(
        "weighing",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        sa.Column("car_id", sa.Integer(), nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        sa.Column("scale_resolution_g", sa.Double(), nullable=False),
        sa.Column("readings_g", sa.JSON(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        _reference("weighing", "car"),
        sa.PrimaryKeyConstraint("id", name="pk_weighing"),
    )
    op.create_index("ix_weighing_car_id_at", "weighing", ["car_id", "at"])


def _create_reading() -> None:
    op.create_table(
        "reading",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        sa.Column("car_id", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.String(), nullable=False),
        sa.Column("value", sa.Double(), nullable=False),
        sa.Column("resolution", sa.Double(), nullable=True),
        sa.Column("at", MOMENT, nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        _reference("reading", "car"),
        sa.PrimaryKeyConstraint("id", name="pk_reading"),
    )
    op.create_index("ix_reading_car_id_quantity_at", "reading", ["car_id", "quantity", "at"])


def _one_if_given(column: str) -> str:
    given = f"({column} IS NOT NULL)"
    return given if op.get_bind().dialect.name == "sqlite" else f"{given}::int"


def _create_photo() -> None:
    subjects = ("car", "track", "casting")
    op.create_table(
        "photo",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        *(sa.Column(f"{subject}_id", sa.Integer(), nullable=True) for subject in subjects),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("media_type", sa.String(), nullable=False),
        sa.Column("width_px", sa.Integer(), nullable=False),
        sa.Column("height_px", sa.Integer(), nullable=False),
        sa.Column("caption", sa.String(), nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        sa.CheckConstraint(
            " + ".join(_one_if_given(f"{subject}_id") for subject in subjects) + " = 1",
            name="ck_photo_one_subject",
        ),
        *(_reference("photo", subject) for subject in subjects),
        sa.PrimaryKeyConstraint("id", name="pk_photo"),
    )
    for column in ("car_id", "track_id", "casting_id", "sha256"):
        op.create_index(f"ix_photo_{column}", "photo", [column])


def _create_timed_run() -> None:
    op.create_table(
        "timed_run",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        sa.Column("track_version_id", sa.Integer(), nullable=False),
        sa.Column("track_id", sa.Integer(), nullable=False),
        sa.Column("car_id", sa.Integer(), nullable=False),
        sa.Column("finish_time_s", sa.Double(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        _reference("timed_run", "track_version"),
        _reference("timed_run", "track"),
        _reference("timed_run", "car"),
        sa.PrimaryKeyConstraint("id", name="pk_timed_run"),
    )
    columns = {
        "ix_timed_run_track_version_id": ["track_version_id"],
        "ix_timed_run_track_id_car_id_at": ["track_id", "car_id", "at"],
        "ix_timed_run_car_id_at": ["car_id", "at"],
    }
    for name, indexed in columns.items():
        op.create_index(name, "timed_run", indexed)
