"""Let other devices in by a link, check it, and take it back."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from datetime import datetime, timedelta
from typing import Final

from hillbench.errors import HillbenchError, InvalidInput, Problem
from hillbench.records import invitation_store, meet_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.meet_entities import Invitation
from hillbench.records.names import clean_name
from hillbench.records.role import Role

LONGEST_HOURS: Final = 24 * 14
_PARTS: Final = 4
_LONGEST_TOKEN: Final = 200


class NotInvited(HillbenchError):
    """A link that lets nobody in: wrong, expired or taken back."""

    def __init__(self) -> None:
        super().__init__(
            "This link lets nobody in (any more): ask the director for a new code and scan it."
        )


def invite(
    book: BenchBook,
    role: Role,
    label: str,
    now: datetime,
    *,
    meet_id: int | None = None,
    valid_hours: float = 12.0,
) -> tuple[Invitation, str]:
    """Make a link and return it with its token, which is told this once and never kept.

    Parameters
    ----------
    role
        What its bearer may do.
    label
        For whom it is.
    meet_id
        The meet it is for; None for the whole bench.
    valid_hours
        How long it lets anyone in, more than 0, at most 14 days.

    Notes
    -----
    The token is number, expiry, secret and signature: the signature (HMAC-SHA-256, RFC 2104)
    turns guesses away without a look into the database, of the secret only a digest is kept.
    """
    label = clean_name(label, "label")
    if not 0.0 < valid_hours <= LONGEST_HOURS:
        allowed = f"more than 0, at most {LONGEST_HOURS} hours"
        raise InvalidInput([Problem("valid_hours", f"{valid_hours:g}", allowed)])
    secret = secrets.token_urlsafe(18)
    expires_at = (now + timedelta(hours=valid_hours)).replace(microsecond=0)
    with book.write() as session:
        if meet_id is not None:
            meet_store.find_meet(session, meet_id)
        key = invitation_store.signing_key(session)
        if key is None:
            key = secrets.token_hex(32)
            invitation_store.keep_signing_key(session, key)
        made = invitation_store.add_invitation(
            session, meet_id, role, label, _digest(secret), now, expires_at
        )
    body = f"{made.id}.{int(expires_at.timestamp())}.{secret}"
    return made, f"{body}.{_signature(key, body)}"


def check_token(book: BenchBook, token: str, now: datetime) -> Invitation:
    """Return the invitation of a token.

    Parameters
    ----------
    token
        As it came in the link or the cookie.

    Raises
    ------
    NotInvited
        If it is wrong, has expired or was taken back.
    """
    parts = token.split(".") if token.isascii() and len(token) <= _LONGEST_TOKEN else []
    if len(parts) != _PARTS or not (parts[0].isdecimal() and parts[1].isdecimal()):
        raise NotInvited
    body, _, signature = token.rpartition(".")
    with book.read() as session:
        key = invitation_store.signing_key(session)
        if key is None or not hmac.compare_digest(signature, _signature(key, body)):
            raise NotInvited
        found = invitation_store.find_invitation(session, int(parts[0]))
    if found is None or not found.is_good(now):
        raise NotInvited
    if not hmac.compare_digest(found.secret_sha256, _digest(parts[2])):
        raise NotInvited
    return found


def join(book: BenchBook, token: str, now: datetime) -> Invitation:
    """Let a device in and count it; see `check_token`.

    Parameters
    ----------
    token
        As it came in the link.
    """
    found = check_token(book, token, now)
    with book.write() as session:
        invitation_store.note_joined(session, found.id, now)
    return found


def revoke(book: BenchBook, invitation_id: int, now: datetime) -> Invitation:
    """Take an invitation back; every device that came by it is out at once."""
    with book.write() as session:
        return invitation_store.revoke(session, invitation_id, now)


def list_invitations(book: BenchBook, meet_id: int | None) -> tuple[Invitation, ...]:
    """Return who was invited to a meet and to the whole bench, latest first."""
    with book.read() as session:
        return invitation_store.list_invitations(session, meet_id)


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def _signature(key: str, body: str) -> str:
    digest = hmac.new(bytes.fromhex(key), body.encode(), hashlib.sha256).hexdigest()
    return digest[:32]
