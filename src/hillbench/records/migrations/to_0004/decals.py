"""Panels of castings, art and liveries."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

MOMENT = sa.String(27)
IN_USE = sa.text("removed_at IS NULL")


def upgrade() -> None:
    """Add three tables."""
    op.create_table(
        "decal_panel",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        sa.Column("casting_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("panel", sa.JSON(), nullable=False),
        sa.Column("changed_at", MOMENT, nullable=False),
        sa.ForeignKeyConstraint(["casting_id"], ["casting.id"], name="fk_decal_panel_casting_id"),
        sa.PrimaryKeyConstraint("id", name="pk_decal_panel"),
    )
    op.create_index("ix_decal_panel_casting_id", "decal_panel", ["casting_id"])
    _named("decal_art", sa.Column("content", sa.JSON(), nullable=False))
    _named(
        "livery",
        sa.Column("casting_id", sa.Integer(), nullable=False),
        sa.Column("scheme", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["casting_id"], ["casting.id"], name="fk_livery_casting_id"),
    )
    op.create_index("ix_livery_casting_id", "livery", ["casting_id"])


def _named(table: str, *columns: sa.Column[object] | sa.ForeignKeyConstraint) -> None:
    op.create_table(
        table,
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        *(sa.Column(name, sa.String(), nullable=False) for name in ("name", "name_key", "note")),
        *(sa.Column(name, MOMENT, nullable=False) for name in ("created_at", "changed_at")),
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
