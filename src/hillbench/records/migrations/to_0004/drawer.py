"""The drawer: items and the journal of their stock."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

MOMENT = sa.String(27)
IN_USE = sa.text("removed_at IS NULL")


def upgrade() -> None:
    """Add two tables."""
    op.create_table(
        "drawer_item",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("removed_at", MOMENT, nullable=True),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_key", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("created_at", MOMENT, nullable=False),
        sa.Column("changed_at", MOMENT, nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("unit", sa.String(), nullable=False),
        sa.Column("unit_price", sa.String(), nullable=True),
        sa.Column("supplier_note", sa.String(), nullable=False),
        sa.Column("reorder_thousandths", sa.Integer(), nullable=True),
        sa.Column("details", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_drawer_item"),
    )
    op.create_index(
        "uq_drawer_item_name_key",
        "drawer_item",
        ["name_key"],
        unique=True,
        sqlite_where=IN_USE,
        postgresql_where=IN_USE,
    )
    op.create_index("ix_drawer_item_kind", "drawer_item", ["kind"])
    op.create_table(
        "stock_move",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("item_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("thousandths", sa.BigInteger(), nullable=False),
        sa.Column("unit_price", sa.String(), nullable=True),
        sa.Column("at", MOMENT, nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("build_step_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["item_id"], ["drawer_item.id"], name="fk_stock_move_item_id"),
        sa.ForeignKeyConstraint(
            ["build_step_id"], ["build_step.id"], name="fk_stock_move_build_step_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_stock_move"),
    )
    op.create_index("ix_stock_move_item_id_at", "stock_move", ["item_id", "at"])
    op.create_index("ix_stock_move_build_step_id", "stock_move", ["build_step_id"])
