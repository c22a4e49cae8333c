"""Tests at the bench, and the times of gates."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

MOMENT = sa.String(27)


def upgrade() -> None:
    """Add four tables, and gate times to runs and to what they said before."""
    op.add_column("timed_run", sa.Column("gate_times_s", sa.JSON(), nullable=True))
    op.add_column("run_edit", sa.Column("gate_times_s", sa.JSON(), nullable=True))
    _create_test(
        "spin_down",
        sa.Column("wheel", sa.String(), nullable=False),
        sa.Column("lubricant", sa.String(), nullable=False),
        sa.Column("round_number", sa.Integer(), nullable=False),
        sa.Column("stop_times_s", sa.JSON(), nullable=False),
        sa.Column("start_turns_per_s", sa.JSON(), nullable=False),
        sa.Column("start_uncertainty_turns_per_s", sa.Double(), nullable=True),
        sa.Column("turns", sa.JSON(), nullable=False),
        sa.Column("timed_by", sa.String(), nullable=False),
    )
    _create_test(
        "roll_test",
        sa.Column("rolls", sa.JSON(), nullable=False),
        sa.Column("drift_uncertainty_mm", sa.Double(), nullable=False),
        sa.Column("aim_uncertainty_deg", sa.Double(), nullable=False),
        sa.Column("straightened", sa.Boolean(), nullable=False),
    )
    _create_test(
        "coast_out",
        sa.Column("surface", sa.String(), nullable=False),
        sa.Column("track_version_id", sa.Integer(), nullable=True),
        sa.Column("track_id", sa.Integer(), nullable=True),
        sa.Column("distances_m", sa.JSON(), nullable=False),
        sa.Column("entry_speed_m_s", sa.Double(), nullable=True),
        sa.Column("entry_speed_uncertainty_m_s", sa.Double(), nullable=True),
        sa.Column("level_uncertainty_deg", sa.Double(), nullable=False),
        _reference("coast_out", "track_version"),
        _reference("coast_out", "track"),
    )
    op.create_index("ix_coast_out_track_version_id", "coast_out", ["track_version_id"])
    _create_test("rub_check", sa.Column("answers", sa.JSON(), nullable=False))


def _create_test(name: str, *columns: sa.schema.SchemaItem) -> None:
    op.create_table(
        name,
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        sa.Column("car_id", sa.Integer(), nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        *columns,
        _reference(name, "car"),
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
    )
    op.create_index(f"ix_{name}_car_id_at", name, ["car_id", "at"])


def _reference(table: str, to: str) -> sa.ForeignKeyConstraint:
    column = f"{to}_id"
    return sa.ForeignKeyConstraint([column], [f"{to}.id"], name=f"fk_{table}_{column}")
