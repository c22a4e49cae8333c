"""How a meet is run, and the draw."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.errors import InvalidInput, Problem
from hillbench.racing.format import NEEDS_TIMER, OF_TWO, Format
from hillbench.racing.meet_ranking import next_stage
from hillbench.racing.meet_state import MeetSettings, MeetState
from hillbench.racing.official import Score, TieBreak
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
from hillbench.web.page import Page
from hillbench.web.typed import Answers, Typed

router = APIRouter()

LABELS: Final = {
    "format": "Format",
    "lanes": "Lanes",
    "rounds": "Rounds",
    "finalists": "Cars in the final",
    "final_rounds": "Rounds of the final",
    "score": "Score",
    "drop": "Worst runs dropped",
    "points": "Points by place",
    "ties": "Ties",
    "draw": "Draw",
    "cars": "Cars",
    "lane": "Lane",
}
FORMAT_NOTES: Final = {
    Format.TIMED_HEATS: "Every car on every lane; the model takes lanes and heats out.",
    Format.TIMED_HEATS_FINAL: "Recommended with a timer: all times pooled tell the fastest car "
    "more surely than any ladder for the same number of runs.",
    Format.TWO_RUNS_FINAL: "Quick for many cars: two runs each, then a final of the fastest.",
    Format.POINTS: "Where only places are seen: equal lanes, points by place.",
    Format.SINGLE: "A show: one loss and out. It lowers the odds that the fastest car wins.",
    Format.SINGLE_SEEDED: "Two timed runs seed a ladder.",
    Format.SINGLE_OF_THREE: "As single elimination, each match the best of three.",
    Format.DOUBLE: "Two losses and out; the best ladder without a timer.",
    Format.PAIRS: "Every car meets every other once.",
}
"""What each format is for, in one line."""

TIES: Final = (
    ("best time,second best time", "best time, then second best"),
    ("most heats won,best time", "most heats won, then best time"),
    ("heats won against each other,best time", "heats won against each other, then best time"),
    ("most heats won,heats won against each other", "most heats won, then against each other"),
    ("", "shared"),
)
SCORES: Final = (
    ("mean", "mean of all times"),
    ("sum", "sum of all times"),
    ("drop worst", "sum without the worst"),
    ("best", "best time"),
    ("points", "points by place"),
)


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


def read_settings(answers: Answers) -> MeetSettings:
    """Return settings as typed; raise `InvalidInput` with all that is wrong."""
    chosen = answers.choice("format", [str(one) for one in Format])
    score = answers.choice("score", [str(one) for one in Score])
    ties = answers.choice("ties", [value for value, _ in TIES])
    whole = {
        name: _whole(answers, name, default)
        for name, default in (
            ("lanes", 4),
            ("rounds", 1),
            ("finalists", 4),
            ("final_rounds", 1),
            ("drop", 0),
        )
    }
    points = _points(answers)
    timed = answers.text("timed") != "no"
    if not timed and Format(chosen) in NEEDS_TIMER:
        allowed = "one that does without a timer"
        answers.problems.append(Problem("format", f"{chosen}, without times", allowed))
    answers.require()
    open_track = answers.text("open_track") == "yes" and Format(chosen) in OF_TWO
    return MeetSettings(
        format=Format(chosen),
        timed=timed,
        open_track=open_track,
        meet_equally=answers.text("meet_equally") == "yes",
        score=score,
        points=points,
        ties=tuple(str(TieBreak(one)) for one in ties.split(",") if one),
        must_pass=answers.text("must_pass") == "yes",
        **{**whole, **({"lanes": 2} if open_track else {})},
    )


def settings_fields(settings: MeetSettings) -> tuple[tuple[str, str], ...]:
    """Return settings as they would be typed."""
    ties = ",".join(settings.ties)
    return (
        ("format", str(settings.format)),
        ("lanes", str(settings.lanes)),
        ("rounds", str(settings.rounds)),
        ("timed", "yes" if settings.timed else "no"),
        ("open_track", "yes" if settings.open_track else ""),
        ("meet_equally", "yes" if settings.meet_equally else ""),
        ("finalists", str(settings.finalists)),
        ("final_rounds", str(settings.final_rounds)),
        ("score", settings.score),
        ("drop", str(settings.drop)),
        ("points", ", ".join(f"{one:g}" for one in settings.points)),
        ("ties", ties if ties in dict(TIES) else TIES[0][0]),
        ("must_pass", "yes" if settings.must_pass else ""),
    )


def _whole(answers: Answers, name: str, default: int) -> int:
    value = answers.quantity(name, units.NUMBER, required=False)
    if value is None:
        return default
    if value != round(value) or abs(value) > 1000:
        answers.problems.append(Problem(name, answers.text(name), "a whole number"))
        return default
    return round(value)


def _points(answers: Answers) -> tuple[float, ...]:
    text = answers.text("points").strip() or "4, 3, 2, 1"
    found = []
    for word in text.replace(";", " ").replace(", ", " ").split():
        try:
            value = float(word.strip(",").replace(",", "."))
        except ValueError:
            value = float("nan")
        if not 0.0 <= value <= 1e6:
            allowed = "numbers from 0, such as 4, 3, 2, 1"
            answers.problems.append(Problem("points", repr(word), allowed))
            return (1.0,)
        found.append(value)
    if found != sorted(found, reverse=True):
        answers.problems.append(Problem("points", text, "none greater for a worse place"))
    return tuple(found[:50])


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
    )


def _to_draw(state: MeetState) -> str:
    if state.closed:
        return ""
    if not state.heats:
        return "Draw again" if state.drawn else "Draw"
    stage = next_stage(state)
    if stage:
        return f"Draw the {stage}"
    return "" if state.seeds or not state.plan else "Draw the rest anew"
