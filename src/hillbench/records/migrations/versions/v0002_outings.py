"""Outings, what a run was in one, every value a run had before, and rules for reading times."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

MOMENT = sa.String(27)


def upgrade() -> None:
    """Add three tables and let runs belong to outings; what was there stays as it is."""
    op.create_table(
        "outing",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        sa.Column("track_version_id", sa.Integer(), nullable=False),
        sa.Column("track_id", sa.Integer(), nullable=False),
        sa.Column("begun_at", MOMENT, nullable=False),
        sa.Column("matters_s", sa.Double(), nullable=True),
        sa.Column("temperature_c", sa.Double(), nullable=True),
        sa.Column("humidity_percent", sa.Double(), nullable=True),
        sa.Column("surface_cleaned", sa.Boolean(), nullable=True),
        sa.Column("lubricant_note", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("plan", sa.JSON(), nullable=False),
        _reference("outing", "track_version"),
        _reference("outing", "track"),
        sa.PrimaryKeyConstraint("id", name="pk_outing"),
    )
    op.create_index("ix_outing_track_id_begun_at", "outing", ["track_id", "begun_at"])
    op.create_index("ix_outing_begun_at", "outing", ["begun_at"])
    _extend_timed_run()
    _create_run_edit()
    _create_import_rule()


def _reference(table: str, to: str) -> sa.ForeignKeyConstraint:
    column = f"{to}_id"
    return sa.ForeignKeyConstraint([column], [f"{to}.id"], name=f"fk_{table}_{column}")


def _extend_timed_run() -> None:
    # Added in place: SQLite then rewrites no row, however many there are.
    double = "DOUBLE" if op.get_bind().dialect.name == "sqlite" else "DOUBLE PRECISION"
    for column in (
        "outing_id INTEGER CONSTRAINT fk_timed_run_outing_id REFERENCES outing (id)",
        "number INTEGER",
        "lane VARCHAR",
        "entry_key VARCHAR",
        "time_source VARCHAR DEFAULT 'typed' NOT NULL",
        f"time_uncertainty_s {double}",
    ):
        op.execute(f"ALTER TABLE timed_run ADD COLUMN {column}")
    op.create_index("ix_timed_run_outing_id_number", "timed_run", ["outing_id", "number"])
    op.create_index("ix_timed_run_track_id_at", "timed_run", ["track_id", "at"])
    op.create_index("uq_timed_run_entry_key", "timed_run", ["entry_key"], unique=True)


def _create_run_edit() -> None:
    op.create_table(
        "run_edit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        sa.Column("finish_time_s", sa.Double(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("lane", sa.String(), nullable=True),
        sa.Column("car_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["run_id"], ["timed_run.id"], name="fk_run_edit_run_id"),
        _reference("run_edit", "car"),
        sa.PrimaryKeyConstraint("id", name="pk_run_edit"),
    )
    op.create_index("ix_run_edit_run_id", "run_edit", ["run_id"])


def _create_import_rule() -> None:
    op.create_table(
        "import_rule",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("rule", sa.JSON(), nullable=False),
        sa.Column("created_at", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_import_rule"),
    )
    op.create_index("ix_import_rule_kind_name", "import_rule", ["kind", "name"])
