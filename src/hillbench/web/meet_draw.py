"""How a meet is run, and the draw."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput
from hillbench.racing.format import Format
from hillbench.racing.meet_ranking import next_stage
from hillbench.racing.meet_state import MeetState
from hillbench.racing.progress import told_draw
from hillbench.racing.staging import heat_gap_s, upcoming
from hillbench.usecases.draw_meet import draw_meet, set_meet
from hillbench.usecases.enter_cars import note_lane
from hillbench.usecases.read_meet import MeetView
from hillbench.usecases.tell_results import told_rule
from hillbench.usecases.write_journal import MeetChanged
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.flash import Flash
from hillbench.web.heat_cards import HeatCard, planned_card
from hillbench.web.meet_frame import (
    MeetHead,
    changed_meanwhile,
    form_with_key,
    meet_head,
    meet_view,
    new_seed,
    told_change,
    writer,
)
from hillbench.web.meet_settings_form import (
    FORMAT_NOTES,
    LABELS,
    SCORES,
    TIES,
    read_settings,
    settings_fields,
)
from hillbench.web.page import Page
from hillbench.web.typed import Answers, Typed

router = APIRouter()


@dataclass(frozen=True)
class DrawPage(Page):
    """How a meet is run, and what is drawn.

    Attributes
    ----------
    head
        Of the meet.
    sentence
        How far the meet has come.
    rule
        How it is ranked, in words.
    settings
        The form, as typed.
    formats
        Value, name and purpose of each format.
    score_options, tie_options
        Choices of the form.
    meanwhile
        What others wrote meanwhile.
    fixed
        Whether heats have run, so that only the ranking may change.
    draw
        What the button draws; empty where nothing is to be drawn.
    lanes
        Each lane, and whether it is out of order.
    heats
        Heats to come.
    minutes
        What they take.
    study_at
        Where it is told what each format would tell for so many cars.
    """

    template: ClassVar[str] = "meets/draw.html"
    place: ClassVar[str] = "meets"

    head: MeetHead
    sentence: str
    rule: str
    settings: Typed
    formats: tuple[tuple[str, str, str], ...]
    score_options: tuple[tuple[str, str], ...]
    tie_options: tuple[tuple[str, str], ...]
    meanwhile: tuple[str, ...]
    fixed: bool
    draw: str
    lanes: tuple[tuple[int, bool], ...]
    heats: tuple[HeatCard, ...]
    minutes: int
    study_at: str


@router.get("/meets/{meet_id}/draw")
def show_draw(request: Request, book: Book, meet_id: Number) -> Response:
    """Show how a meet is run and what is drawn."""
    return show(request, _page(request, meet_view(request, book, meet_id)))


@router.post("/meets/{meet_id}/draw/settings")
def keep_settings(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, meet_id: Number
) -> Response:
    """Keep how a meet is run."""
    answers = Answers("settings", pairs(form), preferences, LABELS)
    try:
        settings = read_settings(answers)
        set_meet(book, meet_id, writer(request, answers, now), settings)
    except InvalidInput as wrong:
        view = meet_view(request, book, meet_id)
        return refuse(request, _page(request, view, answers.refused(wrong)))
    except MeetChanged as changed:
        view = meet_view(request, book, meet_id)
        page = _page(request, view, answers.as_typed, told_change(view, changed))
        return refuse(request, page)
    return done(request, f"/meets/{meet_id}/draw", Flash("Kept how the meet is run."))


@router.post("/meets/{meet_id}/draw")
def draw(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, meet_id: Number
) -> Response:
    """Draw the heats, the rest of them, the final or the ladder."""
    answers = Answers("draw", pairs(form), preferences, LABELS)
    to = f"/meets/{meet_id}/draw"
    view = meet_view(request, book, meet_id)
    try:
        draw_meet(book, meet_id, writer(request, answers, now), new_seed())
    except InvalidInput as wrong:
        refused = Answers("settings", settings_fields(view.state.settings), preferences, LABELS)
        return refuse(request, _page(request, view, refused.refused(wrong)))
    except MeetChanged as changed:
        return changed_meanwhile(request, to, view, changed)
    return done(request, to, Flash("Drawn."))


@router.post("/meets/{meet_id}/draw/lanes/{lane}")
def set_lane(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    meet_id: Number,
    lane: Number,
) -> Response:
    """Take a lane out of order, or back into use."""
    answers = Answers("lane", pairs(form), preferences, LABELS)
    to = f"/meets/{meet_id}/draw"
    view = meet_view(request, book, meet_id)
    closed = answers.text("closed") == "yes"
    try:
        note_lane(
            book, meet_id, writer(request, answers, now), lane, closed=closed, seed=new_seed()
        )
    except MeetChanged as changed:
        return changed_meanwhile(request, to, view, changed)
    word = "out of order" if closed else "in use again"
    return done(request, to, Flash(f"Lane {lane} is {word}; the heats to come are drawn anew."))


def _page(
    request: Request,
    view: MeetView,
    typed: Typed | None = None,
    meanwhile: tuple[str, ...] = (),
) -> DrawPage:
    state = view.state
    coming = upcoming(state)
    fields = dict(settings_fields(state.settings))
    lanes = range(1, state.settings.lanes + 1)
    return DrawPage(
        head=meet_head(request, view, "draw"),
        sentence=f"{len(state.active())} cars, {told_draw(state)}.",
        rule=told_rule(state),
        settings=typed or form_with_key("settings", fields),
        formats=tuple((str(one), str(one), FORMAT_NOTES[one]) for one in Format),
        score_options=SCORES,
        tie_options=TIES,
        meanwhile=meanwhile,
        fixed=bool(state.heats),
        draw=_to_draw(state),
        lanes=tuple((lane, lane in state.closed_lanes) for lane in lanes),
        heats=tuple(planned_card(view, one) for one in coming),
        minutes=round(len(coming) * heat_gap_s(state) / 60.0),
        study_at=_study_address(view),
    )


def _study_address(view: MeetView) -> str:
    state, track_id = view.state, view.meet.track_id
    asked = {"cars": max(len(state.active()), 2), "lanes": state.settings.lanes}
    if track_id is not None:
        asked["track_id"] = track_id
    return f"/meets/formats?{urlencode(asked)}"


def _to_draw(state: MeetState) -> str:
    if state.closed:
        return ""
    if not state.heats:
        return "Draw again" if state.drawn else "Draw"
    stage = next_stage(state)
    if stage:
        return f"Draw the {stage}"
    return "" if state.seeds or not state.plan else "Draw the rest anew"
