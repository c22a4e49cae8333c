"""What all pages of a meet share: its head with the ways on, and how a form is signed."""

from __future__ import annotations

import secrets
import time
from collections import OrderedDict
from dataclasses import dataclass
from datetime import datetime
from threading import Lock
from typing import Final
from urllib.parse import quote

from fastapi import Request
from starlette.responses import Response

from hillbench.racing.meet_event import last_action
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.read_meet import MeetView, read_meet, seq_of
from hillbench.usecases.tell_event import tell_action, tell_event
from hillbench.usecases.tell_results import MeetResults, tell_results
from hillbench.usecases.write_journal import MeetChanged, Writer
from hillbench.web.answer import done
from hillbench.web.clock_forms import moment_of
from hillbench.web.flash import Flash
from hillbench.web.gate_rules import may
from hillbench.web.typed import Answers, Typed
from hillbench.web.visitor import signature_of, visitor_of

_TABS: Final = (
    ("entries", "Entries", ""),
    ("scrutiny", "Scrutiny", "/scrutiny"),
    ("draw", "Draw", "/draw"),
    ("run", "Run", "/run"),
    ("heats", "Heats", "/heats"),
    ("board", "Board", "/board"),
    ("results", "Results", "/results"),
    ("people", "People", "/people"),
    ("journal", "Journal", "/journal"),
)
_FRESH_FOR_S: Final = 5.0
_OVER_FRESH_FOR_S: Final = 60.0
_MOST_KEPT: Final = 128


@dataclass(frozen=True, slots=True)
class Tab:
    """One way on from the head of a meet.

    Attributes
    ----------
    label, address
        On screen, and where it leads.
    current
        Whether it is the page shown.
    """

    label: str
    address: str
    current: bool


@dataclass(frozen=True, slots=True)
class MeetHead:
    """The head of every page of a meet.

    Attributes
    ----------
    id, name
        Of the meet.
    place
        Day and track, in words.
    tabs
        The ways on that the reader may take.
    seq
        The last line of the journal seen; a form sends it back.
    closed, removed
        Whether the meet is over, and whether it was removed.
    """

    id: int
    name: str
    place: str
    tabs: tuple[Tab, ...]
    seq: int
    closed: bool
    removed: bool


class MeetReader:
    """Reads meets, and keeps what was read until something happens there."""

    def __init__(self) -> None:
        self._kept: OrderedDict[tuple[int, int], tuple[float, MeetView]] = OrderedDict()
        self._results: OrderedDict[tuple[int, int], tuple[int, MeetResults]] = OrderedDict()
        self._lock: Final = Lock()

    def view(self, book: BenchBook, meet_id: int) -> MeetView:
        """Return a meet as it stands; its name and track may be a few seconds old."""
        key, now_s = (id(book), meet_id), time.monotonic()
        seq = seq_of(book, meet_id)
        with self._lock:
            known = self._kept.get(key)
        if known is not None and known[1].state.seq == seq:
            over = known[1].state.closed
            if now_s - known[0] < (_OVER_FRESH_FOR_S if over else _FRESH_FOR_S):
                return known[1]
        view = read_meet(book, meet_id)
        with self._lock:
            self._kept[key] = (now_s, view)
            if len(self._kept) > _MOST_KEPT:
                self._kept.popitem(last=False)
        return view

    def forget(self, book: BenchBook, meet_id: int) -> None:
        """Read a meet anew next time, because its name, day, track or class was changed."""
        with self._lock:
            self._kept.pop((id(book), meet_id), None)

    def results(self, book: BenchBook, view: MeetView) -> MeetResults:
        """Return the results of a meet, computed once for each line of its journal."""
        key = (id(book), view.meet.id)
        with self._lock:
            known = self._results.get(key)
        if known is not None and known[0] == view.state.seq:
            return known[1]
        results = tell_results(view)
        with self._lock:
            self._results[key] = (view.state.seq, results)
            if len(self._results) > _MOST_KEPT:
                self._results.popitem(last=False)
        return results


def reader_of(request: Request) -> MeetReader:
    """Return the reader of the app."""
    reader: MeetReader = request.app.state.meets
    return reader


def meet_view(request: Request, book: BenchBook, meet_id: int) -> MeetView:
    """Return a meet as it stands; raise `NotFound` if there is none."""
    return reader_of(request).view(book, meet_id)


def meet_head(request: Request, view: MeetView, current: str) -> MeetHead:
    """Return the head of a page of a meet.

    Parameters
    ----------
    request
        The request that is being answered.
    view
        The meet.
    current
        Key of the page shown.
    """
    visitor, meet = visitor_of(request), view.meet
    tabs = tuple(
        Tab(label, f"/meets/{meet.id}{path}", key == current)
        for key, label, path in _TABS
        if may(visitor, "GET", f"/meets/{meet.id}{path}")
    )
    day = f"{meet.held_on.day} {meet.held_on:%b %Y}"
    place = f"{day}, {view.track_name}" if view.track_name else day
    removed = meet.removed_at is not None
    return MeetHead(meet.id, meet.name, place, tabs, view.state.seq, view.state.closed, removed)


def writer(request: Request, answers: Answers, now: datetime) -> Writer:
    """Return who writes, what they had seen, and the key of the form."""
    seen = answers.text("seen")
    return Writer(
        by=signature_of(request),
        now=now,
        seen=int(seen) if seen.isdecimal() and len(seen) < 10 else None,
        entry_key=answers.text("entry_key") or None,
        at=moment_of(answers, now),
    )


def new_key() -> str:
    """Return a key under which a form is kept once, however often it is sent."""
    return secrets.token_hex(16)


def new_seed() -> int:
    """Return a seed for a draw."""
    return secrets.randbits(31)


def told_change(view: MeetView, changed: MeetChanged) -> tuple[str, ...]:
    """Return what others wrote meanwhile, in words."""
    return tuple(f"{event.by}: {tell_event(event, view.names)}" for event in changed.events)


def changed_meanwhile(request: Request, to: str, view: MeetView, changed: MeetChanged) -> Response:
    """Return the answer to a button that came too late: back to the page, with what changed."""
    told = " ".join(told_change(view, changed))
    return done(request, to, Flash(f"Nothing was written, someone was faster. {told}"))


def last_told(view: MeetView) -> str:
    """Return what would be taken back by an undo, in words; empty for nothing."""
    return tell_action(last_action(view.events), view.names)


def form_with_key(form: str, values: dict[str, str] | None = None) -> Typed:
    """Return a fresh form with a key of its own."""
    return Typed.holding(form, {"entry_key": new_key(), **(values or {})})


def car_address(head: MeetHead | int, car: int) -> str:
    """Return the page of a car at a meet."""
    meet_id = head if isinstance(head, int) else head.id
    return f"/meets/{meet_id}/cars/{quote(str(car))}"
