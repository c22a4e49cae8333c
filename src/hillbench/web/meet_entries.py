"""The cars of a meet: entered, late, withdrawn, absent, come by post."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput, NotFound, Problem
from hillbench.racing.meet_event import EventKind
from hillbench.racing.meet_state import Entry, MeetState
from hillbench.racing.progress import told_draw
from hillbench.records.bench_book import BenchBook
from hillbench.records.car_store import list_cars
from hillbench.usecases.enter_cars import NewEntry, enter_cars, note_car
from hillbench.usecases.read_meet import MeetView
from hillbench.usecases.write_journal import MeetChanged
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.flash import Flash
from hillbench.web.meet_frame import (
    MeetHead,
    changed_meanwhile,
    form_with_key,
    meet_head,
    meet_view,
    new_seed,
    writer,
)
from hillbench.web.page import Page
from hillbench.web.typed import Answers, Typed

router = APIRouter()

_LABELS: Final = {"car_name": "Car", "owner_name": "Owner", "cars": "Cars"}
NOTES: Final = {
    "withdraw": (EventKind.WITHDRAWN, "is withdrawn; the rest is drawn without it"),
    "return": (EventKind.RETURNED, "is back in"),
    "absent": (EventKind.ABSENT, "is absent; its heats come later"),
    "present": (EventKind.PRESENT, "is here again"),
    "receive": (EventKind.RECEIVED, "has come by post"),
    "send-back": (EventKind.SENT_BACK, "is on its way back"),
}
"""What can be noted of a car: the line of the journal, and what is told of it."""


@dataclass(frozen=True)
class EntriesPage(Page):
    """The cars of a meet.

    Attributes
    ----------
    head
        Of the meet.
    sentence
        How the entries stand.
    entries
        By number.
    bench_cars
        Cars of this bench that are not entered yet, as choices.
    enter
        The form that enters cars, as typed.
    rules_name
        The class, and whether it does not hold on that day; empty for none.
    """

    template: ClassVar[str] = "meets/entries.html"
    place: ClassVar[str] = "meets"

    head: MeetHead
    sentence: str
    entries: tuple[Entry, ...]
    bench_cars: tuple[tuple[int, str], ...]
    enter: Typed
    rules_name: str


@router.get("/meets/{meet_id}")
def show_entries(request: Request, book: Book, meet_id: Number) -> Response:
    """Show the cars of a meet."""
    return show(request, _page(request, book, meet_view(request, book, meet_id)))


@router.post("/meets/{meet_id}/entries")
def enter(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, meet_id: Number
) -> Response:
    """Enter cars of the bench that were ticked, and a guest that was named."""
    answers = Answers("enter", pairs(form), preferences, _LABELS)
    names = dict(_bench_cars(book))
    try:
        cars = [
            NewEntry(names[int(text)], car_id=int(text), posted=False)
            for text in answers.as_typed.values("car_id")
            if text.isdecimal() and int(text) in names
        ]
        if answers.text("car_name").strip():
            posted = answers.text("posted") == "yes"
            cars.append(
                NewEntry(answers.text("car_name"), answers.text("owner_name"), posted=posted)
            )
        if not cars:
            raise InvalidInput(
                [Problem("car_name", "empty", "one car or more", "tick or name one")]
            )
        written = enter_cars(book, meet_id, writer(request, answers, now), cars, new_seed())
    except InvalidInput as wrong:
        view = meet_view(request, book, meet_id)
        return refuse(request, _page(request, book, view, answers.refused(wrong)))
    names_told = ", ".join(one.car_name for one in cars[:3]) + (" and others" if cars[3:] else "")
    drawn = any(event.kind is EventKind.DRAWN for event in written.events)
    more = " The heats still to run are drawn anew." if drawn else ""
    return done(request, f"/meets/{meet_id}", Flash(f"Entered: {names_told}.{more}"))


@router.post("/meets/{meet_id}/entries/{car}/{note}")
def note(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    meet_id: Number,
    car: Number,
    note: str,
) -> Response:
    """Note that a car is withdrawn, back, absent, here, received or sent back."""
    if note not in NOTES:
        raise NotFound("note", note)
    kind, told = NOTES[note]
    answers = Answers("note", pairs(form), preferences, {})
    view = meet_view(request, book, meet_id)
    back = f"/meets/{meet_id}/run" if answers.text("back") == "run" else f"/meets/{meet_id}"
    try:
        note_car(book, meet_id, writer(request, answers, now), car, kind, new_seed())
    except MeetChanged as changed:
        return changed_meanwhile(request, back, view, changed)
    return done(request, back, Flash(f"{view.name(car)} {told}."))


def _page(
    request: Request, book: BenchBook, view: MeetView, typed: Typed | None = None
) -> EntriesPage:
    entered = {entry.car_id for entry in view.state.entries.values()}
    return EntriesPage(
        head=meet_head(request, view, "entries"),
        sentence=_sentence(view.state),
        entries=tuple(view.state.entries.values()),
        bench_cars=tuple(one for one in _bench_cars(book) if one[0] not in entered),
        enter=typed or form_with_key("enter"),
        rules_name=_told_class(view),
    )


def _sentence(state: MeetState) -> str:
    going = len(state.active())
    if not going:
        return "No car is entered yet."
    passed = sum(state.entries[car].verdict == "pass" for car in state.active())
    cars = "1 car is entered" if going == 1 else f"{going} cars are entered"
    return f"{cars}, {passed} passed scrutiny; {told_draw(state)}."


def _told_class(view: MeetView) -> str:
    found = view.race_class
    if found is None:
        return ""
    holds = found.holds_on(view.meet.held_on)
    return found.name if holds else f"{found.name}, which does not hold on this day"


def _bench_cars(book: BenchBook) -> tuple[tuple[int, str], ...]:
    with book.read() as session:
        return tuple((car.id, car.name) for car in list_cars(session))
