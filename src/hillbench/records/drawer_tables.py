"""Tables of the drawer: its items, and the journal their stock is the sum of."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import BigInteger, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from hillbench.records.tables import IN_USE, Base, Named


class DrawerItemRow(Named):
    """One kind of thing in the drawer."""

    __tablename__ = "drawer_item"
    __table_args__ = (
        Index(
            "uq_drawer_item_name_key",
            "name_key",
            unique=True,
            sqlite_where=IN_USE,
            postgresql_where=IN_USE,
        ),
        Index("ix_drawer_item_kind", "kind"),
    )

    kind: Mapped[str]
    unit: Mapped[str]
    unit_price: Mapped[str | None]
    supplier_note: Mapped[str]
    reorder_thousandths: Mapped[int | None]
    details: Mapped[dict[str, Any]]


class StockMoveRow(Base):
    """One change of the stock of an item; rows are added and never changed."""

    __tablename__ = "stock_move"
    __table_args__ = (Index("ix_stock_move_item_id_at", "item_id", "at"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    item_id: Mapped[int] = mapped_column(ForeignKey("drawer_item.id"))
    kind: Mapped[str]
    thousandths: Mapped[int] = mapped_column(BigInteger)
    unit_price: Mapped[str | None]
    at: Mapped[datetime]
    note: Mapped[str]
    build_step_id: Mapped[int | None] = mapped_column(ForeignKey("build_step.id"), index=True)
