"""Tables of panels, art and liveries."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from hillbench.records.tables import IN_USE, Named, Removable


class DecalPanelRow(Removable):
    """One panel of a casting, for every sample of it."""

    __tablename__ = "decal_panel"

    casting_id: Mapped[int] = mapped_column(ForeignKey("casting.id"), index=True)
    name: Mapped[str]
    panel: Mapped[dict[str, Any]]
    changed_at: Mapped[datetime]


class DecalArtRow(Named):
    """A piece of art, already made safe."""

    __tablename__ = "decal_art"
    __table_args__ = (
        Index(
            "uq_decal_art_name_key",
            "name_key",
            unique=True,
            sqlite_where=IN_USE,
            postgresql_where=IN_USE,
        ),
    )

    content: Mapped[dict[str, Any]]


class LiveryRow(Named):
    """A scheme of decals for a casting."""

    __tablename__ = "livery"
    __table_args__ = (
        Index(
            "uq_livery_name_key",
            "name_key",
            unique=True,
            sqlite_where=IN_USE,
            postgresql_where=IN_USE,
        ),
    )

    casting_id: Mapped[int] = mapped_column(ForeignKey("casting.id"), index=True)
    scheme: Mapped[dict[str, Any]]
