"""Tracks in the bench book, with every version they went through."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from hillbench.coasting.track import Track
from hillbench.errors import NotFound
from hillbench.records.entities import TrackRecord
from hillbench.records.removal import find_row, give_name
from hillbench.records.tables import TrackRow, TrackVersionRow
from hillbench.records.track_geometry import geometry_from_track, track_from_geometry


@dataclass(frozen=True, slots=True)
class TrackState:
    """What a run depends on; a change of any of it makes a new version of the track."""

    track: Track
    rolling_resistance: float
    wall_friction: float
    latitude_deg: float | None = None
    altitude_m: float | None = None
    temperature_c: float | None = None


def add_track(
    session: Session, name: str, note: str, state: TrackState, now: datetime
) -> TrackRecord:
    """Add a track in its first version; its name must be free."""
    row = TrackRow(created_at=now)
    give_name(session, row, name, note, now)
    session.add(row)
    session.flush()
    return _record(row, _add_version(session, row.id, 1, state, now))


def change_track(
    session: Session, track_id: int, name: str, note: str, state: TrackState, now: datetime
) -> TrackRecord:
    """Give a track another name or note, and a new version if what a run depends on differs."""
    row = find_row(session, TrackRow, track_id)
    give_name(session, row, name, note, now)
    newest = session.scalars(_versions(track_id).limit(1)).one()
    if _state(newest) != state:
        newest = _add_version(session, track_id, newest.number + 1, state, now)
    return _record(row, newest)


def find_track(session: Session, track_id: int, number: int | None = None) -> TrackRecord:
    """Return one track in its newest version or in version `number`, removed or not.

    Raises
    ------
    NotFound
        If there is no such track or version.
    """
    row = find_row(session, TrackRow, track_id)
    query = _versions(track_id).limit(1)
    if number is not None:
        query = query.where(TrackVersionRow.number == number)
    version = session.scalars(query).first()
    if version is None:
        raise NotFound(f"version of the track {row.name!r}", number)
    return _record(row, version)


def list_tracks(session: Session, *, include_removed: bool = False) -> tuple[TrackRecord, ...]:
    """Return the tracks in their newest version, last changed first."""
    newest = (
        select(TrackVersionRow.id)
        .where(TrackVersionRow.track_id == TrackRow.id)
        .order_by(TrackVersionRow.number.desc())
        .limit(1)
        .correlate(TrackRow)
        .scalar_subquery()
    )
    query = (
        select(TrackRow, TrackVersionRow)
        .join(TrackVersionRow, TrackVersionRow.id == newest)
        .order_by(TrackRow.changed_at.desc(), TrackRow.id.desc())
    )
    if not include_removed:
        query = query.where(TrackRow.removed_at.is_(None))
    return tuple(_record(row, version) for row, version in session.execute(query))


def list_track_versions(session: Session, track_id: int) -> tuple[TrackRecord, ...]:
    """Return every version of a track, newest first."""
    row = find_row(session, TrackRow, track_id)
    return tuple(_record(row, version) for version in session.scalars(_versions(track_id)))


def gates_of_version(session: Session, version_id: int) -> tuple[float, ...]:
    """Return where the gates of one version of a track are, m; none for an unknown version."""
    row = session.get(TrackVersionRow, version_id)
    return () if row is None else track_from_geometry(row.geometry).gates_at_m


def names(session: Session, track_ids: Iterable[int]) -> dict[int, str]:
    """Return the names of tracks by their numbers, removed ones included."""
    query = select(TrackRow.id, TrackRow.name).where(TrackRow.id.in_(tuple(track_ids)))
    return {row.id: row.name for row in session.execute(query)}


def _versions(track_id: int) -> Select[TrackVersionRow]:
    return (
        select(TrackVersionRow)
        .where(TrackVersionRow.track_id == track_id)
        .order_by(TrackVersionRow.number.desc())
    )


def _add_version(
    session: Session, track_id: int, number: int, state: TrackState, now: datetime
) -> TrackVersionRow:
    version = TrackVersionRow(
        track_id=track_id,
        number=number,
        geometry=geometry_from_track(state.track),
        rolling_resistance=state.rolling_resistance,
        wall_friction=state.wall_friction,
        latitude_deg=state.latitude_deg,
        altitude_m=state.altitude_m,
        temperature_c=state.temperature_c,
        created_at=now,
    )
    session.add(version)
    session.flush()
    return version


def _state(version: TrackVersionRow) -> TrackState:
    return TrackState(
        track=track_from_geometry(version.geometry),
        rolling_resistance=version.rolling_resistance,
        wall_friction=version.wall_friction,
        latitude_deg=version.latitude_deg,
        altitude_m=version.altitude_m,
        temperature_c=version.temperature_c,
    )


def _record(row: TrackRow, version: TrackVersionRow) -> TrackRecord:
    state = _state(version)
    return TrackRecord(
        id=row.id,
        version_id=version.id,
        name=row.name,
        note=row.note,
        number=version.number,
        track=state.track,
        rolling_resistance=state.rolling_resistance,
        wall_friction=state.wall_friction,
        latitude_deg=state.latitude_deg,
        altitude_m=state.altitude_m,
        temperature_c=state.temperature_c,
        created_at=row.created_at,
        changed_at=row.changed_at,
        version_at=version.created_at,
        removed_at=row.removed_at,
    )
