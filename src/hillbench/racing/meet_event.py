"""The journal of a meet: what can be written in it, what it touches, and what was taken back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, Final


class EventKind(StrEnum):
    """What can happen at a meet."""

    SETTINGS = "settings"
    ENTERED = "entered"
    WITHDRAWN = "withdrawn"
    RETURNED = "returned"
    ABSENT = "absent"
    PRESENT = "present"
    LANE_CLOSED = "lane closed"
    LANE_OPENED = "lane opened"
    DRAWN = "drawn"
    STARTED = "started"
    FALSE_START = "false start"
    TIMES = "times"
    CORRECTED = "corrected"
    RERUN = "rerun"
    PROTEST = "protest"
    RULING = "ruling"
    SCRUTINY = "scrutiny"
    RECEIVED = "received"
    SENT_BACK = "sent back"
    CLOSED = "closed"
    REOPENED = "reopened"
    UNDONE = "undone"


@dataclass(frozen=True, slots=True)
class Draft:
    """Something to be written in the journal.

    Attributes
    ----------
    kind
        What happens.
    payload
        Its particulars, as JSON.
    """

    kind: EventKind
    payload: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Event:
    """One line of the journal.

    Attributes
    ----------
    seq
        Its number in the meet, from 1, without gaps.
    kind, payload
        As in `Draft`.
    at_s
        When it was written, seconds since 1970.
    by
        Who wrote it.
    batch
        Number of the first line that was written in the same go; 0 where it stands alone.
    """

    seq: int
    kind: EventKind
    payload: Mapping[str, Any]
    at_s: float = 0.0
    by: str = ""
    batch: int = 0


_OF_CAR: Final = {
    EventKind.WITHDRAWN,
    EventKind.RETURNED,
    EventKind.ABSENT,
    EventKind.PRESENT,
    EventKind.SCRUTINY,
    EventKind.RECEIVED,
    EventKind.SENT_BACK,
    EventKind.PROTEST,
}
_OF_PLAN: Final = {
    EventKind.SETTINGS,
    EventKind.DRAWN,
    EventKind.LANE_CLOSED,
    EventKind.LANE_OPENED,
    EventKind.CLOSED,
    EventKind.REOPENED,
}
EVERYTHING: Final = "everything"
NOTHING: Final = "nothing"


def touches(event: Event | Draft) -> frozenset[str]:
    """Return what an event is about; two officials collide only where these meet.

    A heat holds its start and its lanes, so that two may tell different lanes of one heat.
    """
    kind, payload = event.kind, event.payload
    if kind is EventKind.UNDONE:
        return frozenset({EVERYTHING})
    found = set()
    if kind in {EventKind.STARTED, EventKind.FALSE_START}:
        found.add(f"heat {payload['heat']} start")
    if kind is EventKind.TIMES:
        found |= {f"heat {payload['heat']} lane {row['lane']}" for row in payload["rows"]}
    if kind is EventKind.CORRECTED:
        found.add(f"heat {payload['heat']} lane {payload['lane']}")
    if kind is EventKind.RERUN:
        found.add(f"heat {payload['heat']}")
    if kind in _OF_CAR:
        found.add(f"{'scrutiny of ' if kind is EventKind.SCRUTINY else ''}car {payload['car']}")
    if kind in _OF_PLAN or kind is EventKind.STARTED:
        found.add("plan")
    if kind is EventKind.RULING:
        found.add(f"protest {payload['protest']}")
    return frozenset(found)


def collisions(drafts: Iterable[Draft], since: Sequence[Event]) -> tuple[Event, ...]:
    """Return the events written meanwhile that are about the same as what is to be written.

    Parameters
    ----------
    drafts
        What is to be written.
    since
        Events after the last one its writer had seen.
    """
    asked = tuple(drafts)
    # Heats drawn anew because of something else are worked out from the meet as it stands.
    asked = tuple(one for one in asked if one.kind is not EventKind.DRAWN) or asked
    wanted = frozenset().union(*(touches(draft) for draft in asked))
    found = []
    for event in since:
        about = touches(event) or {NOTHING}
        if any(_overlap(one, other) for one in about for other in wanted):
            found.append(event)
    return tuple(found)


def _overlap(one: str, other: str) -> bool:
    """Return whether two things are the same, or one is a part of the other."""
    if EVERYTHING in {one, other}:
        return True
    return f"{one} ".startswith(f"{other} ") or f"{other} ".startswith(f"{one} ")


def in_effect(events: Sequence[Event]) -> tuple[Event, ...]:
    """Return the events that count: those taken back, and the taking back, are left out."""
    gone: set[int] = set()
    # From the end: what was taken back cannot take anything back itself.
    for event in reversed(events):
        if event.kind is EventKind.UNDONE and event.seq not in gone:
            gone.update(event.payload["events"])
    return tuple(
        event for event in events if event.kind is not EventKind.UNDONE and event.seq not in gone
    )


def last_action(events: Sequence[Event]) -> tuple[Event, ...]:
    """Return the events of the last thing done that still counts, all that was written in one go.

    What the beginning of a meet is made of, its first settings, is never taken back.
    """
    counting = [event for event in in_effect(events) if event.seq > 1]
    if not counting:
        return ()
    last = counting[-1]
    same = [event for event in counting if event.batch and event.batch == last.batch]
    return tuple(same) or (last,)
