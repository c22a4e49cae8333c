"""Cavities of castings and ballast plans of cars."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

_MOMENT = sa.String(27)


def upgrade() -> None:
    """Add two tables."""
    op.create_table(
        "cavity",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", _MOMENT, nullable=True),
        sa.Column("casting_id", sa.Integer(), nullable=False),
        sa.Column("at", _MOMENT, nullable=False),
        sa.Column("body_style", sa.String(), nullable=False),
        sa.Column("measured", sa.JSON(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["casting_id"], ["casting.id"], name="fk_cavity_casting_id"),
        sa.PrimaryKeyConstraint("id", name="pk_cavity"),
    )
    op.create_index("ix_cavity_casting_id_at", "cavity", ["casting_id", "at"])
    op.create_table(
        "ballast_plan",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", _MOMENT, nullable=True),
        sa.Column("car_id", sa.Integer(), nullable=False),
        sa.Column("made_at", _MOMENT, nullable=False),
        sa.Column("chosen_at", _MOMENT, nullable=True),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("question_key", sa.String(64), nullable=False),
        sa.Column("question", sa.JSON(), nullable=False),
        sa.Column("plan", sa.JSON(), nullable=False),
        sa.Column("answer", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["car_id"], ["car.id"], name="fk_ballast_plan_car_id"),
        sa.PrimaryKeyConstraint("id", name="pk_ballast_plan"),
    )
    op.create_index("ix_ballast_plan_car_id_made_at", "ballast_plan", ["car_id", "made_at"])
