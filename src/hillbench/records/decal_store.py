"""Panels of castings, art and liveries."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from hillbench.records.decal_tables import DecalArtRow, DecalPanelRow, LiveryRow
from hillbench.records.removal import find_row, give_name, in_use
from hillbench.records.tables import CastingRow


@dataclass(frozen=True, slots=True)
class PanelRecord:
    """One panel of a casting.

    Attributes
    ----------
    panel
        As in the file of `hillbench decals`.
    """

    id: int
    casting_id: int
    panel: dict[str, Any]
    changed_at: datetime
    removed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class ArtRecord:
    """A piece of art.

    Attributes
    ----------
    content
        Its shapes or pixels.
    """

    id: int
    name: str
    note: str
    content: dict[str, Any]
    changed_at: datetime
    removed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class LiveryRecord:
    """A scheme of decals.

    Attributes
    ----------
    scheme
        As in the file of `hillbench decals`, without panels.
    """

    id: int
    name: str
    note: str
    casting_id: int
    scheme: dict[str, Any]
    changed_at: datetime
    removed_at: datetime | None = None


def keep_panel(
    session: Session,
    casting_id: int,
    panel: dict[str, Any],
    now: datetime,
    *,
    panel_id: int | None = None,
) -> PanelRecord:
    """Add a panel to a casting, or change one of it."""
    find_row(session, CastingRow, casting_id)
    if panel_id is None:
        row = DecalPanelRow(casting_id=casting_id)
        session.add(row)
    else:
        row = find_row(session, DecalPanelRow, panel_id)
    row.name, row.panel, row.changed_at = str(panel["name"]), panel, now
    session.flush()
    return _panel(row)


def find_panel(session: Session, panel_id: int) -> PanelRecord:
    """Return one panel, removed or not; raise `NotFound` if there is none."""
    return _panel(find_row(session, DecalPanelRow, panel_id))


def list_panels(session: Session, casting_id: int) -> tuple[PanelRecord, ...]:
    """Return the panels of a casting in the order they were added."""
    query = select(DecalPanelRow).where(DecalPanelRow.casting_id == casting_id)
    query = in_use(query, DecalPanelRow, include_removed=False).order_by(DecalPanelRow.id)
    return tuple(_panel(row) for row in session.scalars(query))


def panel_counts(session: Session) -> dict[int, int]:
    """Return how many panels each casting has that has any, by its number."""
    query = select(DecalPanelRow.casting_id).where(DecalPanelRow.removed_at.is_(None))
    counts: dict[int, int] = {}
    for casting_id in session.scalars(query):
        counts[casting_id] = counts.get(casting_id, 0) + 1
    return counts


def add_art(
    session: Session, name: str, note: str, content: dict[str, Any], now: datetime
) -> ArtRecord:
    """Add a piece of art; its name must be free."""
    row = DecalArtRow(created_at=now, content=content)
    give_name(session, row, name, note, now)
    session.add(row)
    session.flush()
    return _art(row)


def list_art(session: Session) -> tuple[ArtRecord, ...]:
    """Return all art by name."""
    query = in_use(select(DecalArtRow), DecalArtRow, include_removed=False)
    query = query.order_by(DecalArtRow.name_key, DecalArtRow.id)
    return tuple(_art(row) for row in session.scalars(query))


def keep_livery(
    session: Session,
    casting_id: int,
    name: str,
    note: str,
    scheme: dict[str, Any],
    now: datetime,
    *,
    livery_id: int | None = None,
) -> LiveryRecord:
    """Add a livery, or change one; its name must be free."""
    find_row(session, CastingRow, casting_id)
    if livery_id is None:
        row = LiveryRow(created_at=now, casting_id=casting_id, scheme=scheme)
    else:
        row = find_row(session, LiveryRow, livery_id)
        row.casting_id, row.scheme = casting_id, scheme
    with session.no_autoflush:
        give_name(session, row, name, note, now)
    session.add(row)
    session.flush()
    return _livery(row)


def find_livery(session: Session, livery_id: int) -> LiveryRecord:
    """Return one livery, removed or not; raise `NotFound` if there is none."""
    return _livery(find_row(session, LiveryRow, livery_id))


def list_liveries(session: Session, *, casting_id: int | None = None) -> tuple[LiveryRecord, ...]:
    """Return liveries by name: of one casting or all."""
    query = in_use(select(LiveryRow), LiveryRow, include_removed=False)
    if casting_id is not None:
        query = query.where(LiveryRow.casting_id == casting_id)
    query = query.order_by(LiveryRow.name_key, LiveryRow.id)
    return tuple(_livery(row) for row in session.scalars(query))


def _panel(row: DecalPanelRow) -> PanelRecord:
    return PanelRecord(row.id, row.casting_id, row.panel, row.changed_at, row.removed_at)


def _art(row: DecalArtRow) -> ArtRecord:
    return ArtRecord(row.id, row.name, row.note, row.content, row.changed_at, row.removed_at)


def _livery(row: LiveryRow) -> LiveryRecord:
    return LiveryRecord(
        row.id, row.name, row.note, row.casting_id, row.scheme, row.changed_at, row.removed_at
    )
