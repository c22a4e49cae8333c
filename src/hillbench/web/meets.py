"""Meets: listed, begun, and what they are called."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput
from hillbench.racing.meet_state import MeetSettings
from hillbench.racing.progress import told_draw
from hillbench.records.bench_book import BenchBook
from hillbench.records.meet_entities import Meet, RaceClass, Season
from hillbench.records.meet_store import list_classes, list_meets, list_seasons
from hillbench.records.track_store import list_tracks
from hillbench.usecases.save_meet import save_meet
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.dates import read_day
from hillbench.web.flash import Flash
from hillbench.web.meet_frame import MeetHead, meet_head, meet_view, reader_of
from hillbench.web.page import Page
from hillbench.web.qr import outward_address, qr_picture
from hillbench.web.typed import Answers, Typed
from hillbench.web.visitor import Who, signature_of

router = APIRouter()

_LABELS: Final = {
    "name": "Name",
    "held_on": "Day",
    "track_id": "Track",
    "race_class_id": "Class",
    "season_id": "Season",
    "note": "Note",
}
_NONE: Final = ("", "none")
Options = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ListedMeet:
    """A meet as it is listed.

    Attributes
    ----------
    meet
        The meet.
    day
        Its day, in words.
    told
        How far it has come.
    leader
        Who leads or has won; empty before any heat.
    over
        Whether it was ended.
    """

    meet: Meet
    day: str
    told: str
    leader: str
    over: bool


@dataclass(frozen=True)
class MeetsPage(Page):
    """All meets.

    Attributes
    ----------
    meets
        Latest first.
    classes, seasons
        Rules, and meets that count together.
    may_change
        Whether the reader may begin something.
    """

    template: ClassVar[str] = "meets/meets.html"
    place: ClassVar[str] = "meets"

    meets: tuple[ListedMeet, ...]
    classes: tuple[RaceClass, ...]
    seasons: tuple[Season, ...]
    may_change: bool


@dataclass(frozen=True)
class NewMeetPage(Page):
    """Where a meet is begun.

    Attributes
    ----------
    meet
        The form, as typed.
    track_options, class_options, season_options
        Choices of the form.
    """

    template: ClassVar[str] = "meets/new.html"
    place: ClassVar[str] = "meets"

    meet: Typed
    track_options: Options
    class_options: Options
    season_options: Options


@dataclass(frozen=True)
class EditMeetPage(Page):
    """What a meet is called, when, where, to which rules.

    Attributes
    ----------
    head
        Of the meet.
    meet, track_options, class_options, season_options
        As in `NewMeetPage`.
    """

    template: ClassVar[str] = "meets/edit.html"
    place: ClassVar[str] = "meets"

    head: MeetHead
    meet: Typed
    track_options: Options
    class_options: Options
    season_options: Options


@dataclass(frozen=True)
class LabelsPage(Page):
    """Labels with codes for the cars of a meet.

    Attributes
    ----------
    head
        Of the meet.
    labels
        Number, name, owner and code of each car.
    reachable
        Whether phones can reach the app.
    """

    template: ClassVar[str] = "meets/labels.html"
    place: ClassVar[str] = "meets"

    head: MeetHead
    labels: tuple[tuple[int, str, str, str], ...]
    reachable: bool


@router.get("/meets")
def show_meets(request: Request, book: Book, visitor: Who) -> Response:
    """Show all meets, classes and seasons."""
    with book.read() as session:
        meets, classes = list_meets(session), list_classes(session)
        seasons = list_seasons(session)
    listed = tuple(_listed(request, book, meet) for meet in meets)
    return show(request, MeetsPage(listed, classes, seasons, visitor.whole_bench))


@router.get("/meets/new")
def show_new(request: Request, book: Book, now: Now) -> Response:
    """Show the form of a new meet."""
    classes = _options(book)[1]
    held = {"held_on": f"{now.astimezone():%Y-%m-%d}"}
    if len(classes) == 2:
        held["race_class_id"] = classes[1][0]
    return show(request, NewMeetPage(Typed.holding("meet", held), *_options(book)))


@router.post("/meets")
def begin(request: Request, book: Book, preferences: Units, now: Now, form: Form) -> Response:
    """Begin a meet."""
    answers = Answers("meet", pairs(form), preferences, _LABELS)
    try:
        meet = _save(request, book, answers, now, None)
    except InvalidInput as wrong:
        return refuse(request, NewMeetPage(answers.refused(wrong), *_options(book)))
    return done(request, f"/meets/{meet.id}", Flash("The meet is open: enter the cars."))


@router.get("/meets/{meet_id}/edit")
def show_edit(request: Request, book: Book, meet_id: Number) -> Response:
    """Show what a meet is called, when and where."""
    meet = meet_view(request, book, meet_id).meet
    held = {
        "name": meet.name,
        "note": meet.note,
        "held_on": meet.held_on.isoformat(),
        "track_id": _text(meet.track_id),
        "race_class_id": _text(meet.race_class_id),
        "season_id": _text(meet.season_id),
    }
    return show(request, _edit_page(request, book, meet_id, Typed.holding("meet", held)))


@router.post("/meets/{meet_id}/edit")
def change(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, meet_id: Number
) -> Response:
    """Keep what a meet is called, when and where."""
    answers = Answers("meet", pairs(form), preferences, _LABELS)
    meet_view(request, book, meet_id)
    try:
        _save(request, book, answers, now, meet_id)
    except InvalidInput as wrong:
        return refuse(request, _edit_page(request, book, meet_id, answers.refused(wrong)))
    reader_of(request).forget(book, meet_id)
    return done(request, f"/meets/{meet_id}", Flash("Kept."))


@router.get("/meets/{meet_id}/labels")
def show_labels(request: Request, book: Book, meet_id: Number) -> Response:
    """Show labels with codes: each leads to the scrutiny or the page of its car."""
    view = meet_view(request, book, meet_id)
    base = outward_address(request)
    labels = tuple(
        (
            entry.car,
            entry.name,
            entry.owner,
            qr_picture(f"{base}/meets/{meet_id}/cars/{entry.car}", f"Code of {entry.car}"),
        )
        for entry in view.state.entries.values()
    )
    head = meet_head(request, view, "entries")
    return show(request, LabelsPage(head, labels, request.app.state.reachable))


def _save(
    request: Request, book: BenchBook, answers: Answers, now: datetime, meet_id: int | None
) -> Meet:
    tracks, classes, seasons = _options(book)
    chosen = {
        name: answers.choice(name, [value for value, _ in options])
        for name, options in (
            ("track_id", tracks),
            ("race_class_id", classes),
            ("season_id", seasons),
        )
    }
    held_on = read_day(answers, "held_on", required=True)
    answers.require()
    return save_meet(
        book,
        answers.text("name"),
        answers.text("note"),
        held_on or date.min,
        now,
        meet_id=meet_id,
        settings=MeetSettings() if meet_id is None else None,
        by=signature_of(request),
        **{name: int(text) if text else None for name, text in chosen.items()},
    )


def _listed(request: Request, book: BenchBook, meet: Meet) -> ListedMeet:
    view = meet_view(request, book, meet.id)
    first = [one for one in view.places if one.place == 1]
    leader = view.name(first[0].car) if len(first) == 1 and view.state.heats else ""
    cars = len(view.state.active())
    told = f"{cars} cars, {told_draw(view.state)}" if cars else "no cars yet"
    day = f"{meet.held_on.day} {meet.held_on:%b %Y}"
    return ListedMeet(meet, day, told, leader, view.state.closed)


def _edit_page(request: Request, book: BenchBook, meet_id: int, typed: Typed) -> EditMeetPage:
    view = meet_view(request, book, meet_id)
    return EditMeetPage(meet_head(request, view, "entries"), typed, *_options(book))


def _options(book: BenchBook) -> tuple[Options, Options, Options]:
    with book.read() as session:
        tracks = [(str(one.id), one.name) for one in list_tracks(session)]
        classes = [(str(one.id), one.name) for one in list_classes(session)]
        seasons = [(str(one.id), one.name) for one in list_seasons(session)]
    return (_NONE, *tracks), (_NONE, *classes), (_NONE, *seasons)


def _text(number: int | None) -> str:
    return "" if number is None else str(number)
