"""Invitations, and the key that signs them."""

from __future__ import annotations

import dataclasses
from datetime import datetime

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from hillbench.errors import NotFound
from hillbench.records.meet_entities import Invitation
from hillbench.records.meet_tables import InvitationRow
from hillbench.records.role import Role
from hillbench.records.tables import AboutRow

_KEY = "invitation key"


def signing_key(session: Session) -> str | None:
    """Return the key that signs invitations of this bench, as hexadecimal; None before any."""
    row = session.get(AboutRow, _KEY)
    return None if row is None else row.value


def keep_signing_key(session: Session, key: str) -> None:
    """Keep the key that signs invitations of this bench."""
    session.merge(AboutRow(key=_KEY, value=key))


def add_invitation(
    session: Session,
    meet_id: int | None,
    role: Role,
    label: str,
    secret_sha256: str,
    made_at: datetime,
    expires_at: datetime,
) -> Invitation:
    """Add an invitation."""
    row = InvitationRow(
        meet_id=meet_id,
        role=str(role),
        label=label,
        secret_sha256=secret_sha256,
        made_at=made_at,
        expires_at=expires_at,
        joined=0,
    )
    session.add(row)
    session.flush()
    return _invitation(row)


def find_invitation(session: Session, invitation_id: int) -> Invitation | None:
    """Return an invitation; None where there is none."""
    if not 0 < invitation_id < 2**31:
        return None
    row = session.get(InvitationRow, invitation_id)
    return None if row is None else _invitation(row)


def list_invitations(session: Session, meet_id: int | None) -> tuple[Invitation, ...]:
    """Return the invitations to a meet and to the whole bench, latest first; all with None."""
    query = select(InvitationRow).order_by(InvitationRow.id.desc())
    if meet_id is not None:
        of_meet = InvitationRow.meet_id == meet_id
        query = query.where(or_(of_meet, InvitationRow.meet_id.is_(None)))
    return tuple(_invitation(row) for row in session.scalars(query))


def note_joined(session: Session, invitation_id: int, now: datetime) -> None:
    """Note that one more device joined."""
    row = _row(session, invitation_id)
    row.joined += 1
    row.joined_at = now


def revoke(session: Session, invitation_id: int, now: datetime) -> Invitation:
    """Take an invitation back; one that was taken back already keeps its date."""
    row = _row(session, invitation_id)
    row.revoked_at = row.revoked_at or now
    session.flush()
    return _invitation(row)


def _row(session: Session, invitation_id: int) -> InvitationRow:
    row = session.get(InvitationRow, invitation_id) if 0 < invitation_id < 2**31 else None
    if row is None:
        raise NotFound("invitation", invitation_id)
    return row


def _invitation(row: InvitationRow) -> Invitation:
    fields = {one.name: getattr(row, one.name) for one in dataclasses.fields(Invitation)}
    return Invitation(**{**fields, "role": Role(row.role)})
