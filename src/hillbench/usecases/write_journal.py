"""Write in the journal of a meet: once, in order, never over what another official wrote."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from hillbench.errors import HillbenchError, InvalidInput, Problem
from hillbench.racing.meet_event import Draft, Event, collisions
from hillbench.racing.meet_fold import fold
from hillbench.racing.meet_state import MeetState
from hillbench.records import meet_journal_store, meet_store
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.check_entry import LONGEST_KEY

_TRIES = 4
_LONGEST_WAIT = timedelta(days=2)


class MeetChanged(HillbenchError):
    """Another official changed the same thing first.

    Attributes
    ----------
    events
        What was written meanwhile.
    seq
        The last line of the journal now.
    """

    def __init__(self, events: Sequence[Event], seq: int) -> None:
        self.events = tuple(events)
        self.seq = seq
        who = ", ".join(dict.fromkeys(event.by for event in events if event.by)) or "Someone else"
        super().__init__(
            f"{who} changed this first, so nothing of yours was written: look at what changed, "
            "then enter it again."
        )


@dataclass(frozen=True, slots=True)
class Writer:
    """Who writes, and what they had seen.

    Attributes
    ----------
    by
        Name, and role.
    now
        The present moment, UTC.
    seen
        The last line of the journal they had seen; None for whatever stands there.
    entry_key
        Chosen by the device: what is sent under one key is written once.
    at
        When it was done, by the device; `now` where None.
    """

    by: str
    now: datetime
    seen: int | None = None
    entry_key: str | None = None
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Written:
    """What was written.

    Attributes
    ----------
    events
        The lines; those of the first time where it was sent again.
    repeated
        Whether it had been written before under the same key.
    """

    events: tuple[Event, ...]
    repeated: bool = False


Plan = Callable[[MeetState, Sequence[Event]], Sequence[Draft]]
"""What is to be written, given the meet and its journal."""


def write_journal(book: BenchBook, meet_id: int, writer: Writer, plan: Plan) -> Written:
    """Write what `plan` says, given the meet as it stands.

    Parameters
    ----------
    meet_id
        The meet.
    writer
        Who writes.
    plan
        Asked with the meet and its journal; asked again when another got in between.

    Raises
    ------
    InvalidInput
        If `plan` refuses it, or the key is none.
    MeetChanged
        If something it touches was changed since `writer.seen`.
    NotFound
        If there is no such meet.

    Notes
    -----
    What is written is worked out without holding the database, then written only if nothing
    came in between; so a long draw keeps nobody waiting. Whoever was outrun several times writes
    while the others wait.
    """
    _require_key(writer.entry_key)
    for _ in range(_TRIES):
        with book.read() as session:
            events, written = _look(session, meet_id, writer)
        if written is not None:
            return written
        drafts = _planned(events, writer, plan)
        if not drafts:
            return Written(())
        with book.write() as session:
            meet_journal_store.lock_meet(session, meet_id)
            # Unless someone else wrote meanwhile: then look again.
            if meet_journal_store.last_seq(session, meet_id) == len(events):
                return _append(session, meet_id, writer, drafts)
    return _write_alone(book, meet_id, writer, plan)


def _write_alone(book: BenchBook, meet_id: int, writer: Writer, plan: Plan) -> Written:
    """Write while all others wait, for one whom others outran every time."""
    with book.write() as session:
        meet_journal_store.lock_meet(session, meet_id)
        events, written = _look(session, meet_id, writer)
        if written is not None:
            return written
        return _append(session, meet_id, writer, _planned(events, writer, plan))


def _look(
    session: Session, meet_id: int, writer: Writer
) -> tuple[tuple[Event, ...], Written | None]:
    """Return the journal, and what was written before under the same key."""
    known = _known(session, meet_id, writer.entry_key)
    meet_store.find_meet(session, meet_id)
    events = meet_journal_store.read_journal(session, meet_id)
    if known is None:
        return events, None
    return events, Written(tuple(one for one in events if one.batch == known), repeated=True)


def _append(session: Session, meet_id: int, writer: Writer, drafts: Sequence[Draft]) -> Written:
    at = _moment(writer)
    return Written(
        meet_journal_store.append(session, meet_id, drafts, at, writer.by, writer.entry_key)
    )


def with_drafts(events: Sequence[Event], drafts: Sequence[Draft]) -> MeetState:
    """Return the meet as it would stand with something more written."""
    first = len(events) + 1
    more = [Event(seq, one.kind, one.payload) for seq, one in enumerate(drafts, start=first)]
    return fold([*events, *more])


def _planned(events: tuple[Event, ...], writer: Writer, plan: Plan) -> tuple[Draft, ...]:
    if writer.seen is not None and not 0 <= writer.seen <= len(events):
        raise InvalidInput([Problem("seen", str(writer.seen), f"0 to {len(events)}", "reload")])
    since = events[writer.seen :] if writer.seen is not None else ()
    try:
        drafts = tuple(plan(fold(events), events))
    except InvalidInput:
        # What is refused now may have been right on the page: then say what changed.
        if since and any(event.by != writer.by for event in since):
            raise MeetChanged(since, len(events)) from None
        raise
    found = collisions(drafts, since) if drafts else ()
    if found:
        raise MeetChanged(found, len(events))
    return drafts


def _known(session: Session, meet_id: int, entry_key: str | None) -> int | None:
    if entry_key is None:
        return None
    return meet_journal_store.batch_with_key(session, meet_id, entry_key)


def _require_key(entry_key: str | None) -> None:
    if entry_key is None:
        return
    plain = entry_key.isascii() and entry_key.isprintable()
    if not (plain and 1 <= len(entry_key) <= min(64, LONGEST_KEY)):
        raise InvalidInput([Problem("entry_key", "no key", "1 to 64 plain characters")])


def _moment(writer: Writer) -> datetime:
    """Return when the device says it was done, unless that cannot be."""
    at = writer.at
    good = at is not None and writer.now - _LONGEST_WAIT <= at <= writer.now
    return at if good and at is not None else writer.now
