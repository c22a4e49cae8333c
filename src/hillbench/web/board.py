"""The board for spectators and big screens, and the page of one car."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import NotFound
from hillbench.racing.progress import told_draw
from hillbench.racing.staging import heat_gap_s, heats_until, upcoming
from hillbench.usecases.read_meet import MeetView, seq_of
from hillbench.usecases.tell_results import told_records
from hillbench.web.answer import show
from hillbench.web.asking import Book, Number
from hillbench.web.gate_rules import may
from hillbench.web.heat_cards import HeatCard, heat_card, planned_card
from hillbench.web.meet_frame import MeetHead, meet_head, meet_view
from hillbench.web.page import Page
from hillbench.web.standings import LadderRound, StandingLine, ladder_rounds, standing_lines
from hillbench.web.visitor import visitor_of

router = APIRouter()

_NEXT: Final = 3
_LIVE: Final = "meets/board_live.html"


@dataclass(frozen=True)
class BoardPage(Page):
    """The board.

    Attributes
    ----------
    head
        Of the meet.
    sentence
        How far the meet has come.
    now
        The heat on the track; None between heats.
    last
        The heat that was run last; None before any.
    coming
        The heats that come next.
    standings
        The cars by place.
    ladder
        Round by round; empty without one.
    records
        Fastest times, in words.
    """

    template: ClassVar[str] = "meets/board.html"
    place: ClassVar[str] = "meets"

    head: MeetHead
    sentence: str
    now: HeatCard | None
    last: HeatCard | None
    coming: tuple[HeatCard, ...]
    standings: tuple[StandingLine, ...]
    ladder: tuple[LadderRound, ...]
    records: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One scrutiny of a car.

    Attributes
    ----------
    at, by, verdict, reasons
        When, signed by whom, what it said and why.
    """

    at: datetime
    by: str
    verdict: str
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class MeetCarPage(Page):
    """One car at a meet, for its owner.

    Attributes
    ----------
    head
        Of the meet.
    car, name, owner
        Number, name and owner.
    sentence
        When it runs next.
    standing
        Where it stands; None before it has run.
    verdict
        What scrutiny said last.
    sheets
        Its scrutinies, latest first.
    run
        Its heats so far, latest first.
    coming
        Its heats to come.
    scrutiny_at
        Where it is looked at; empty for a reader who may not.
    """

    template: ClassVar[str] = "meets/car.html"
    place: ClassVar[str] = "meets"

    head: MeetHead
    car: int
    name: str
    owner: str
    sentence: str
    standing: StandingLine | None
    verdict: str
    sheets: tuple[SheetLine, ...]
    run: tuple[HeatCard, ...]
    coming: tuple[HeatCard, ...]
    scrutiny_at: str


@router.get("/meets/{meet_id}/board")
def show_board(request: Request, book: Book, meet_id: Number) -> Response:
    """Show the board."""
    return show(request, _page(request, meet_view(request, book, meet_id)))


@router.get("/meets/{meet_id}/board/live")
def show_live(request: Request, book: Book, meet_id: Number, seen: int = -1) -> Response:
    """Send the part of the board that changes, or only that nothing has happened since."""
    seq = seq_of(book, meet_id)
    tag = f'"{meet_id}.{seq}"'
    headers = {"etag": tag, "cache-control": "no-cache", "vary": "HX-Request, Cookie"}
    if seq and seen == seq:
        return Response(status_code=204, headers=headers)
    if seq and tag in request.headers.get("if-none-match", ""):
        return Response(status_code=304, headers=headers)
    response = show(request, _page(request, meet_view(request, book, meet_id)), _LIVE)
    response.headers.update(headers)
    return response


@router.get("/meets/{meet_id}/cars/{car}")
def show_car(request: Request, book: Book, meet_id: Number, car: Number) -> Response:
    """Show one car at a meet: when it runs next, and how it did."""
    view = meet_view(request, book, meet_id)
    entry = view.state.entries.get(car)
    if entry is None:
        raise NotFound("car of this meet", car)
    lines = [one for one in standing_lines(view) if one.car == car]
    scrutiny_at = f"/meets/{meet_id}/scrutiny/{car}"
    page = MeetCarPage(
        head=meet_head(request, view, "cars"),
        car=car,
        name=entry.name,
        owner=entry.owner,
        sentence=_when(view, car),
        standing=lines[0] if lines and lines[0].place else None,
        verdict=str(entry.verdict),
        sheets=tuple(
            SheetLine(datetime.fromtimestamp(one.at_s, UTC), one.by, str(one.verdict), one.reasons)
            for one in reversed(entry.sheets)
        ),
        run=tuple(
            heat_card(view, heat)
            for heat in reversed(view.state.heats.values())
            if car in heat.cars and heat.started_at_s is not None
        ),
        coming=tuple(planned_card(view, one) for one in upcoming(view.state) if car in one.cars),
        scrutiny_at=scrutiny_at if may(visitor_of(request), "GET", scrutiny_at) else "",
    )
    return show(request, page)


def _page(request: Request, view: MeetView) -> BoardPage:
    state = view.state
    done = [heat for heat in state.heats.values() if heat.done]
    last = max(done, key=lambda heat: (heat.started_at_s or 0.0, heat.number), default=None)
    clause = told_draw(state)
    return BoardPage(
        head=meet_head(request, view, "board"),
        sentence="The meet is over." if state.closed else f"{clause[0].upper()}{clause[1:]}.",
        now=None if state.running is None else heat_card(view, state.running),
        last=None if last is None else heat_card(view, last),
        coming=tuple(planned_card(view, one) for one in upcoming(state)[:_NEXT]),
        standings=standing_lines(view),
        ladder=ladder_rounds(view),
        records=told_records(view),
    )


def _when(view: MeetView, car: int) -> str:
    state = view.state
    if state.entries[car].withdrawn:
        return "Withdrawn."
    if state.running is not None and car in state.running.cars:
        return "On the track now."
    before = heats_until(state, car)
    if before is None:
        return "No heat to come is drawn for it." if state.drawn else "Nothing is drawn yet."
    if before == 0 and state.running is None:
        return "Runs next: be at the start now."
    wait = before + (state.running is not None)
    minutes = max(round(wait * heat_gap_s(state) / 60.0), 1)
    ready = " Be ready." if wait <= 1 else ""
    heats = "1 heat" if wait == 1 else f"{wait} heats"
    return f"Runs after {heats}, in about {minutes} minutes.{ready}"
