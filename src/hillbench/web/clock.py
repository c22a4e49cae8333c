"""The Clock: outings begun, listed, and what is said about their day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput
from hillbench.records.bench_book import BenchBook
from hillbench.records.car_store import list_cars
from hillbench.records.outing_store import find_outing
from hillbench.records.track_store import list_tracks
from hillbench.usecases.begin_outing import begin_outing, change_outing
from hillbench.usecases.show_outing import list_outings
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.clock_forms import outing_answers, outing_fields, read_outing
from hillbench.web.clock_pages import ClockPage
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.typed import Typed

router = APIRouter()

_GOES_ON: Final = timedelta(hours=12)
_BLANK: Final = Typed.holding("begin", {"lanes": "1"})


@dataclass(frozen=True)
class DayPage(Page):
    """Cars, lanes and conditions of an outing.

    Attributes
    ----------
    outing_id
        The outing.
    car_options
        Cars in use, as choices of the form.
    begin
        The form, as typed.
    """

    template: ClassVar[str] = "clock/day.html"
    place: ClassVar[str] = "clock"

    outing_id: int
    car_options: tuple[tuple[int, str], ...]
    begin: Typed


@router.get("/clock")
def show_clock(request: Request, book: Book, now: Now, track: str = "", car: str = "") -> Response:
    """Show the form that begins an outing, and the outings before."""
    chosen = [(name, value) for name, value in (("track_id", track), ("car_id", car)) if value]
    return show(request, _clock_page(book, Typed("begin", (*_BLANK.pairs, *chosen)), now))


@router.post("/clock")
def begin(request: Request, book: Book, preferences: Units, now: Now, form: Form) -> Response:
    """Begin an outing and go to it."""
    answers = outing_answers("begin", pairs(form), preferences)
    try:
        asked = read_outing(answers)
        track = answers.choice("track_id", [str(known) for known, _ in _tracks(book)] or [""])
        answers.require()
        outing = begin_outing(
            book,
            int(track),
            asked.car_ids,
            asked.lanes,
            now,
            together=asked.together,
            conditions=asked.conditions,
            matters_s=asked.matters_s,
            note=asked.note,
        )
    except InvalidInput as wrong:
        return refuse(request, _clock_page(book, answers.refused(wrong), now))
    return done(request, f"/clock/{outing.id}", Flash("The outing has begun."))


@router.get("/clock/{outing_id}/day")
def show_day(request: Request, book: Book, outing_id: Number) -> Response:
    """Show cars, lanes and conditions of an outing, to be changed."""
    with book.read() as session:
        typed = Typed("begin", outing_fields(find_outing(session, outing_id)))
    return show(request, _day_page(book, outing_id, typed))


@router.post("/clock/{outing_id}/day")
def change_day(
    request: Request, book: Book, preferences: Units, form: Form, outing_id: Number
) -> Response:
    """Keep changed cars, lanes or conditions; the runs stay as they are."""
    answers = outing_answers("begin", pairs(form), preferences)
    try:
        asked = read_outing(answers)
        change_outing(
            book,
            outing_id,
            car_ids=asked.car_ids,
            lanes=asked.lanes,
            together=asked.together,
            conditions=asked.conditions,
            matters_s=asked.matters_s,
            note=asked.note,
        )
    except InvalidInput as wrong:
        return refuse(request, _day_page(book, outing_id, answers.refused(wrong)))
    return done(request, f"/clock/{outing_id}", Flash("Kept; the runs are as they were."))


def _clock_page(book: BenchBook, begin: Typed, now: datetime) -> ClockPage:
    outings = list_outings(book)
    lately = bool(outings) and now - outings[0].outing.begun_at < _GOES_ON
    return ClockPage(
        outings=outings,
        going_on=outings[0] if lately else None,
        track_options=_tracks(book),
        car_options=_cars(book),
        begin=begin,
    )


def _day_page(book: BenchBook, outing_id: int, begin: Typed) -> DayPage:
    return DayPage(outing_id, _cars(book), begin)


def _tracks(book: BenchBook) -> tuple[tuple[int, str], ...]:
    with book.read() as session:
        return tuple((track.id, track.name) for track in list_tracks(session))


def _cars(book: BenchBook) -> tuple[tuple[int, str], ...]:
    with book.read() as session:
        return tuple((car.id, car.name) for car in list_cars(session))
