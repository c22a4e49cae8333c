"""The journals of meets: read whole, written only at their end."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from hillbench.racing.meet_event import Draft, Event, EventKind
from hillbench.records.meet_tables import MeetEventRow, MeetRow, ScrutinyPhotoRow


def read_journal(session: Session, meet_id: int) -> tuple[Event, ...]:
    """Return the journal of a meet in order."""
    # Columns, not mapped rows: a thousand lines are read for every answer.
    columns = MeetEventRow.__table__.columns
    query = select(*columns).where(MeetEventRow.meet_id == meet_id).order_by(MeetEventRow.seq)
    return tuple(
        Event(row.seq, EventKind(row.kind), row.payload, row.at.timestamp(), row.by, row.batch)
        for row in session.execute(query)
    )


def last_seq(session: Session, meet_id: int) -> int:
    """Return the number of the last line of a journal, 0 for an empty one."""
    query = select(func.max(MeetEventRow.seq)).where(MeetEventRow.meet_id == meet_id)
    return session.scalar(query) or 0


def batch_with_key(session: Session, meet_id: int, entry_key: str) -> int | None:
    """Return the number of the line that was written under a key; None where none was."""
    query = select(MeetEventRow.seq).where(
        MeetEventRow.meet_id == meet_id, MeetEventRow.entry_key == entry_key
    )
    return session.scalar(query)


def lock_meet(session: Session, meet_id: int) -> None:
    """Let nobody else write in this journal until the transaction ends.

    On SQLite a writing transaction has the whole file to itself anyway.
    """
    session.execute(select(MeetRow.id).where(MeetRow.id == meet_id).with_for_update())


def append(
    session: Session,
    meet_id: int,
    drafts: Sequence[Draft],
    at: datetime,
    by: str,
    entry_key: str | None,
) -> tuple[Event, ...]:
    """Write lines at the end of a journal, all of them or none, and return them."""
    first = last_seq(session, meet_id) + 1
    found = []
    for seq, draft in enumerate(drafts, start=first):
        key = entry_key if seq == first else None
        payload = dict(draft.payload)
        session.add(
            MeetEventRow(
                meet_id=meet_id,
                seq=seq,
                batch=first,
                kind=str(draft.kind),
                payload=payload,
                at=at,
                by=by,
                entry_key=key,
            )
        )
        found.append(Event(seq, draft.kind, payload, at.timestamp(), by, first))
    session.flush()
    return tuple(found)


def add_scrutiny_photo(
    session: Session,
    meet_id: int,
    car: int,
    sha256: str,
    media_type: str,
    width_px: int,
    height_px: int,
    at: datetime,
) -> None:
    """Note a photo taken at scrutiny, whose file is stored already."""
    session.add(
        ScrutinyPhotoRow(
            meet_id=meet_id,
            car=car,
            sha256=sha256,
            media_type=media_type,
            width_px=width_px,
            height_px=height_px,
            at=at,
        )
    )


def has_scrutiny_photo(session: Session, meet_id: int, sha256: str) -> bool:
    """Return whether a photo was taken at the scrutiny of a meet."""
    query = select(ScrutinyPhotoRow.id).where(
        ScrutinyPhotoRow.meet_id == meet_id, ScrutinyPhotoRow.sha256 == sha256
    )
    return session.scalars(query.limit(1)).first() is not None
