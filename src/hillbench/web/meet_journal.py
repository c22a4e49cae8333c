"""The journal of a meet: every line, who wrote it, and taking the last back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput
from hillbench.racing.meet_event import in_effect
from hillbench.usecases.keep_meet_runs import keep_meet_runs
from hillbench.usecases.run_heat import end_meet
from hillbench.usecases.tell_event import tell_event
from hillbench.usecases.write_journal import MeetChanged
from hillbench.web.answer import done, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.flash import Flash
from hillbench.web.meet_frame import (
    MeetHead,
    changed_meanwhile,
    last_told,
    meet_head,
    meet_view,
    writer,
)
from hillbench.web.page import Page
from hillbench.web.typed import Answers

router = APIRouter()


@dataclass(frozen=True, slots=True)
class JournalLine:
    """One line of the journal.

    Attributes
    ----------
    seq, at, by
        Its number, when and by whom.
    told
        What it says, in words.
    counts
        Whether it was not taken back.
    """

    seq: int
    at: datetime
    by: str
    told: str
    counts: bool


@dataclass(frozen=True)
class JournalPage(Page):
    """The journal of a meet.

    Attributes
    ----------
    head
        Of the meet.
    lines
        Latest first.
    undo
        What would be taken back; empty for nothing.
    """

    template: ClassVar[str] = "meets/journal.html"
    place: ClassVar[str] = "meets"

    head: MeetHead
    lines: tuple[JournalLine, ...]
    undo: str


@router.get("/meets/{meet_id}/journal")
def show_journal(request: Request, book: Book, meet_id: Number) -> Response:
    """Show the journal of a meet."""
    view = meet_view(request, book, meet_id)
    counting = {event.seq for event in in_effect(view.events)}
    lines = [
        JournalLine(
            event.seq,
            datetime.fromtimestamp(event.at_s, UTC),
            event.by,
            tell_event(event, view.names),
            event.seq in counting,
        )
        for event in reversed(view.events)
    ]
    page = JournalPage(meet_head(request, view, "journal"), tuple(lines), last_told(view))
    return show(request, page)


@router.post("/meets/{meet_id}/end")
def end(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, meet_id: Number
) -> Response:
    """End the meet, or open it again."""
    answers = Answers("end", pairs(form), preferences, {})
    to, view = f"/meets/{meet_id}/results", meet_view(request, book, meet_id)
    closed = answers.text("closed") == "yes"
    try:
        end_meet(book, meet_id, writer(request, answers, now), closed=closed)
    except MeetChanged as changed:
        return changed_meanwhile(request, to, view, changed)
    return done(request, to, Flash("The meet is over." if closed else "The meet is open again."))


@router.post("/meets/{meet_id}/keep-runs")
def keep_runs(request: Request, book: Book, now: Now, meet_id: Number) -> Response:
    """Keep the times of the meet with the cars of the bench."""
    to = f"/meets/{meet_id}/results"
    try:
        count = keep_meet_runs(book, meet_view(request, book, meet_id), now)
    except InvalidInput as wrong:
        return done(request, to, Flash(" ".join(one.sentence() for one in wrong.problems)))
    return done(request, to, Flash(f"{count} runs are kept with their cars, as an outing."))
