"""The start screen: what is on the track, what comes next, and what the lanes did."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Final, Literal

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput, NotFound
from hillbench.racing.meet_ranking import next_stage
from hillbench.racing.progress import told_draw
from hillbench.racing.staging import upcoming
from hillbench.usecases.enter_cars import note_car
from hillbench.usecases.read_meet import MeetView
from hillbench.usecases.run_heat import call_back, enter_heat, run_again, start_heat, take_back
from hillbench.usecases.write_journal import MeetChanged
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.flash import Flash
from hillbench.web.heat_cards import HeatCard, heat_card, planned_card
from hillbench.web.meet_entries import NOTES
from hillbench.web.meet_forms import (
    LABELS,
    NOTE_OPTIONS,
    beside_lanes,
    is_doubtful,
    read_told,
    told_form,
    with_lines,
)
from hillbench.web.meet_frame import (
    MeetHead,
    changed_meanwhile,
    last_told,
    meet_head,
    meet_view,
    new_key,
    new_seed,
    told_change,
    writer,
)
from hillbench.web.page import Page
from hillbench.web.typed import Answers, Typed

router = APIRouter()

_SHOWN: Final = 4


@dataclass(frozen=True)
class RunMeetPage(Page):
    """The start screen.

    Attributes
    ----------
    head
        Of the meet.
    sentence
        How far the meet has come.
    heat
        On the track, or the next one; None where there is none.
    told
        The form of that heat, as typed.
    note_options
        How a run went, as choices.
    timed
        Whether times are taken.
    doubtful
        Whether times far from the others were typed, which can be kept all the same.
    meanwhile
        What others wrote meanwhile.
    coming
        The heats after it.
    absent
        Cars that are absent, with their numbers.
    stage
        What is to be drawn now; empty for nothing.
    undo
        What would be taken back; empty for nothing.
    """

    template: ClassVar[str] = "meets/run.html"
    place: ClassVar[str] = "meets"

    head: MeetHead
    sentence: str
    heat: HeatCard | None
    told: Typed
    note_options: tuple[tuple[str, str], ...]
    timed: bool
    doubtful: bool
    meanwhile: tuple[str, ...]
    coming: tuple[HeatCard, ...]
    absent: tuple[tuple[int, str], ...]
    stage: str
    undo: str


@router.get("/meets/{meet_id}/run")
def show_run(request: Request, book: Book, meet_id: Number) -> Response:
    """Show the start screen."""
    return show(request, _page(request, meet_view(request, book, meet_id)))


@router.post("/meets/{meet_id}/run/cars/{car}/{there}")
def note_presence(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    meet_id: Number,
    there: Literal["absent", "present"],
    car: Number,
) -> Response:
    """Note at the start that a car is absent, or here again; the rest is drawn anew."""
    answers = Answers("note", pairs(form), preferences, LABELS)
    to, view = f"/meets/{meet_id}/run", meet_view(request, book, meet_id)
    kind, told = NOTES[there]
    try:
        note_car(book, meet_id, writer(request, answers, now), car, kind, new_seed())
    except MeetChanged as changed:
        return changed_meanwhile(request, to, view, changed)
    return done(request, to, Flash(f"{view.name(car)} {told}."))


@router.post("/meets/{meet_id}/run/{heat}/start")
def start(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    meet_id: Number,
    heat: Number,
) -> Response:
    """Let a heat go."""
    answers = Answers("start", pairs(form), preferences, LABELS)
    to, view = f"/meets/{meet_id}/run", meet_view(request, book, meet_id)
    try:
        start_heat(book, meet_id, writer(request, answers, now), heat)
    except MeetChanged as changed:
        return changed_meanwhile(request, to, view, changed)
    return done(request, to, Flash(f"Heat {heat} is on the track."))


@router.post("/meets/{meet_id}/run/{heat}")
def tell(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    meet_id: Number,
    heat: Number,
) -> Response:
    """Enter what the lanes did."""
    answers = Answers("told", pairs(form), preferences, LABELS)
    view = meet_view(request, book, meet_id)
    card = _card(view, heat)
    # A form that is sent again is answered as the first time, whatever has happened since.
    lanes = [line.lane for line in card.lanes] if card is not None else list(range(1, 9))
    try:
        answers = with_lines(book, answers, lanes)
        told = read_told(answers, lanes, timed=view.state.settings.timed)
        confirmed = answers.text("confirmed") == "yes"
        enter_heat(book, meet_id, writer(request, answers, now), heat, told, confirmed=confirmed)
    except InvalidInput as wrong:
        fresh = meet_view(request, book, meet_id)
        refused = answers.refused(beside_lanes(wrong))
        return refuse(request, _page(request, fresh, refused, doubtful=is_doubtful(wrong)))
    except MeetChanged as changed:
        fresh = meet_view(request, book, meet_id)
        page = _page(request, fresh, answers.as_typed, meanwhile=told_change(fresh, changed))
        return refuse(request, page)
    return done(request, f"/meets/{meet_id}/run", Flash(f"Heat {heat} is kept."))


@router.post("/meets/{meet_id}/run/{heat}/{what}")
def interrupt(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    meet_id: Number,
    heat: Number,
    what: str,
) -> Response:
    """Call a heat back after a false start, or let it be run again."""
    answers = Answers("interrupt", pairs(form), preferences, LABELS)
    to = f"/meets/{meet_id}/heats/{heat}" if answers.text("back") else f"/meets/{meet_id}/run"
    view, who = meet_view(request, book, meet_id), writer(request, answers, now)
    try:
        if what == "false-start":
            call_back(book, meet_id, who, heat)
            told = f"False start of heat {heat}: line up again."
        elif what == "again":
            run_again(book, meet_id, who, heat, answers.text("reason"))
            told = f"Heat {heat} is run again; its times stay on record and do not count."
        else:
            raise NotFound("page", what)
    except MeetChanged as changed:
        return changed_meanwhile(request, to, view, changed)
    return done(request, to, Flash(told))


@router.post("/meets/{meet_id}/undo")
def undo(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, meet_id: Number
) -> Response:
    """Take back the last thing done."""
    answers = Answers("undo", pairs(form), preferences, LABELS)
    page = "journal" if answers.text("back") == "journal" else "run"
    to, view = f"/meets/{meet_id}/{page}", meet_view(request, book, meet_id)
    told = last_told(view)
    try:
        take_back(book, meet_id, writer(request, answers, now))
    except MeetChanged as changed:
        return changed_meanwhile(request, to, view, changed)
    return done(request, to, Flash(f"Taken back: {told}"))


def _card(view: MeetView, number: int) -> HeatCard | None:
    heat = view.state.heats.get(number)
    if heat is not None and heat.started_at_s is not None:
        return heat_card(view, heat)
    planned = next((one for one in upcoming(view.state) if one.number == number), None)
    return None if planned is None else planned_card(view, planned)


def _page(
    request: Request,
    view: MeetView,
    typed: Typed | None = None,
    *,
    doubtful: bool = False,
    meanwhile: tuple[str, ...] = (),
) -> RunMeetPage:
    state = view.state
    coming = [planned_card(view, one) for one in upcoming(state)]
    running = state.running
    if running is not None:
        current: HeatCard | None = heat_card(view, running)
    else:
        current = coming.pop(0) if coming else None
    same = typed is not None and current is not None and _is_of(typed, current)
    return RunMeetPage(
        head=meet_head(request, view, "run"),
        sentence=f"{told_draw(state)[0].upper()}{told_draw(state)[1:]}.",
        heat=None if state.closed else current,
        told=Typed("told") if current is None else _form(current, typed, same=same),
        note_options=NOTE_OPTIONS,
        timed=state.settings.timed,
        doubtful=doubtful and same,
        meanwhile=meanwhile,
        coming=tuple(coming[:_SHOWN]),
        absent=tuple(
            (car, entry.name)
            for car, entry in state.entries.items()
            if entry.absent and not entry.withdrawn
        ),
        stage=next_stage(state),
        undo=last_told(view),
    )


def _form(current: HeatCard, typed: Typed | None, *, same: bool) -> Typed:
    if typed is not None and not same:
        # Someone else has told that heat: only what went wrong is shown.
        fresh = told_form(current, None, new_key())
        return Typed(fresh.form, fresh.pairs, typed.problems)
    return told_form(current, typed, new_key())


def _is_of(typed: Typed, card: HeatCard) -> bool:
    return typed.value("heat") == str(card.number)
