"""Photos as rows of the bench book; the files are the business of `photo_files`."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import Session

from hillbench.records.entities import Kind, Photo
from hillbench.records.removal import in_use
from hillbench.records.tables import PhotoRow

if TYPE_CHECKING:  # it loads the picture library, which the start of the app does not need
    from hillbench.records.photo_files import PhotoFile

SUBJECT_COLUMNS = {
    Kind.CAR: PhotoRow.car_id,
    Kind.TRACK: PhotoRow.track_id,
    Kind.CASTING: PhotoRow.casting_id,
}
"""The column of each kind of thing that can be photographed."""


@dataclass(frozen=True, slots=True)
class Subject:
    """What a photo shows: a car, a track or a casting."""

    kind: Kind
    id: int


def add_photo(
    session: Session, subject: Subject, file: PhotoFile, caption: str, at: datetime
) -> Photo:
    """Add a photo whose file is stored already."""
    row = PhotoRow(
        sha256=file.sha256,
        media_type=file.media_type,
        width_px=file.width_px,
        height_px=file.height_px,
        caption=caption,
        at=at,
        **{SUBJECT_COLUMNS[subject.kind].key: subject.id},
    )
    session.add(row)
    session.flush()
    return _photo(row)


def list_photos(
    session: Session, subject: Subject, *, include_removed: bool = False
) -> tuple[Photo, ...]:
    """Return the photos of one thing, latest first."""
    column = SUBJECT_COLUMNS[subject.kind]
    query = (
        select(PhotoRow)
        .where(column == subject.id)
        .order_by(PhotoRow.at.desc(), PhotoRow.id.desc())
    )
    query = in_use(query, PhotoRow, include_removed=include_removed)
    return tuple(_photo(row) for row in session.scalars(query))


def latest_photos(session: Session, kind: Kind) -> dict[int, Photo]:
    """Return the latest photo of each thing of a kind that has one, by its number."""
    column = SUBJECT_COLUMNS[kind]
    query = (
        select(PhotoRow)
        .where(column.is_not(None), PhotoRow.removed_at.is_(None))
        .order_by(PhotoRow.at, PhotoRow.id)
    )
    return {getattr(row, column.key): _photo(row) for row in session.scalars(query)}


def find_photo(session: Session, sha256: str) -> Photo | None:
    """Return a photo by the checksum of its file, removed or not; None where there is none."""
    row = session.scalars(select(PhotoRow).where(PhotoRow.sha256 == sha256).limit(1)).first()
    return None if row is None else _photo(row)


def list_checksums(session: Session) -> tuple[str, ...]:
    """Return the checksum of every photo file that a row needs, removed ones included."""
    query = select(PhotoRow.sha256).distinct().order_by(PhotoRow.sha256)
    return tuple(session.scalars(query))


def _photo(row: PhotoRow) -> Photo:
    return Photo(
        id=row.id,
        car_id=row.car_id,
        track_id=row.track_id,
        casting_id=row.casting_id,
        sha256=row.sha256,
        media_type=row.media_type,
        width_px=row.width_px,
        height_px=row.height_px,
        caption=row.caption,
        at=row.at,
        removed_at=row.removed_at,
    )
