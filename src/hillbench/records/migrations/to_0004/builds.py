"""Builds, their steps and their templates."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

MOMENT = sa.String(27)
IN_USE = sa.text("removed_at IS NULL")


def upgrade() -> None:
    """Add three tables."""
    _add_builds()
    _add_steps()
    op.create_table(
        "build_template",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_key", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("created_at", MOMENT, nullable=False),
        sa.Column("changed_at", MOMENT, nullable=False),
        sa.Column("steps", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_build_template"),
    )
    op.create_index(
        "uq_build_template_name_key",
        "build_template",
        ["name_key"],
        unique=True,
        sqlite_where=IN_USE,
        postgresql_where=IN_USE,
    )


def _add_builds() -> None:
    op.create_table(
        "build",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        sa.Column("car_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("plan", sa.JSON(), nullable=False),
        sa.Column("limit_g", sa.Double(), nullable=True),
        sa.Column("other_scale_step_g", sa.Double(), nullable=False),
        sa.Column("meet_at", MOMENT, nullable=True),
        sa.Column("bench_from_minute", sa.Integer(), nullable=False),
        sa.Column("bench_to_minute", sa.Integer(), nullable=False),
        sa.Column("current_key", sa.String(), nullable=False),
        sa.Column("clock_seen_at", MOMENT, nullable=False),
        sa.Column("created_at", MOMENT, nullable=False),
        sa.Column("changed_at", MOMENT, nullable=False),
        sa.Column("ended_at", MOMENT, nullable=True),
        sa.ForeignKeyConstraint(["car_id"], ["car.id"], name="fk_build_car_id"),
        sa.PrimaryKeyConstraint("id", name="pk_build"),
    )
    op.create_index("ix_build_car_id_created_at", "build", ["car_id", "created_at"])


def _add_steps() -> None:
    op.create_table(
        "build_step",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        sa.Column("build_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        *(sa.Column(name, sa.String(), nullable=False) for name in ("key", "kind", "title")),
        *(sa.Column(name, sa.String(), nullable=False) for name in ("text", "tool", "size")),
        sa.Column("depth_mm", sa.Double(), nullable=True),
        sa.Column("minutes", sa.Double(), nullable=False),
        sa.Column("wait_minutes", sa.Double(), nullable=False),
        sa.Column("wait_for", sa.String(), nullable=False),
        *(sa.Column(name, sa.JSON(), nullable=False) for name in ("waits_for", "cautions")),
        *(sa.Column(name, sa.JSON(), nullable=False) for name in ("changes", "draws")),
        sa.Column("weighs", sa.Boolean(), nullable=False),
        sa.Column("link", sa.String(), nullable=False),
        sa.Column("done_at", MOMENT, nullable=True),
        sa.Column("wait_ends_at", MOMENT, nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("readings_g", sa.JSON(), nullable=False),
        sa.Column("scale_resolution_g", sa.Double(), nullable=True),
        sa.Column("weighing_id", sa.Integer(), nullable=True),
        sa.Column("photo_id", sa.Integer(), nullable=True),
        sa.Column("draft", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name="fk_build_step_build_id"),
        sa.ForeignKeyConstraint(["weighing_id"], ["weighing.id"], name="fk_build_step_weighing_id"),
        sa.ForeignKeyConstraint(["photo_id"], ["photo.id"], name="fk_build_step_photo_id"),
        sa.PrimaryKeyConstraint("id", name="pk_build_step"),
    )
    op.create_index("ix_build_step_build_id_position", "build_step", ["build_id", "position"])
