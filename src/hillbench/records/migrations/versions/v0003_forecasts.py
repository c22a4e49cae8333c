"""Forecasts that are kept to be held against the clock, and results of fits to be found again."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

MOMENT = sa.String(27)


def upgrade() -> None:
    """Add two tables; what was there stays as it is."""
    op.create_table(
        "forecast",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        sa.Column("track_version_id", sa.Integer(), nullable=False),
        sa.Column("track_id", sa.Integer(), nullable=False),
        sa.Column("car_id", sa.Integer(), nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("done_at", MOMENT, nullable=True),
        sa.Column("change_name", sa.String(), nullable=False),
        sa.Column("change", sa.JSON(), nullable=False),
        sa.Column("verdict", sa.String(), nullable=False),
        sa.Column("time_s", sa.Double(), nullable=False),
        sa.Column("gain_s", sa.Double(), nullable=False),
        sa.Column("gain_low_s", sa.Double(), nullable=False),
        sa.Column("gain_high_s", sa.Double(), nullable=False),
        sa.Column("target_time_s", sa.Double(), nullable=True),
        sa.Column("probability_target", sa.Double(), nullable=True),
        _reference("forecast", "track_version"),
        _reference("forecast", "track"),
        _reference("forecast", "car"),
        sa.PrimaryKeyConstraint("id", name="pk_forecast"),
    )
    op.create_index("ix_forecast_car_id_made_at", "forecast", ["car_id", "made_at"])
    op.create_table(
        "fit_result",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("track_version_id", sa.Integer(), nullable=False),
        sa.Column("car_id", sa.Integer(), nullable=True),
        sa.Column("fit_key", sa.String(64), nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("result", sa.JSON(), nullable=False),
        _reference("fit_result", "track_version"),
        _reference("fit_result", "car"),
        sa.PrimaryKeyConstraint("id", name="pk_fit_result"),
    )
    op.create_index("uq_fit_result_fit_key", "fit_result", ["fit_key"], unique=True)
    columns = ["track_version_id", "car_id"]
    op.create_index("ix_fit_result_track_version_id_car_id", "fit_result", columns)


def _reference(table: str, to: str) -> sa.ForeignKeyConstraint:
    column = f"{to}_id"
    return sa.ForeignKeyConstraint([column], [f"{to}.id"], name=f"fk_{table}_{column}")
