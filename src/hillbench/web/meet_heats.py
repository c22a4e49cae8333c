"""All heats of a meet, and one of them: corrected, run again, protested against."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput, NotFound, Problem
from hillbench.racing.meet_state import Protest
from hillbench.racing.staging import upcoming
from hillbench.usecases.read_meet import MeetView
from hillbench.usecases.run_heat import correct_heat, note_protest, rule_on
from hillbench.usecases.write_journal import MeetChanged
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.flash import Flash
from hillbench.web.heat_cards import HeatCard, heat_card, planned_card
from hillbench.web.meet_forms import LABELS, NOTE_OPTIONS, beside_lanes, read_told
from hillbench.web.meet_frame import (
    MeetHead,
    changed_meanwhile,
    form_with_key,
    meet_head,
    meet_view,
    told_change,
    writer,
)
from hillbench.web.page import Page
from hillbench.web.typed import Answers, Typed

router = APIRouter()


@dataclass(frozen=True)
class HeatsPage(Page):
    """All heats of a meet.

    Attributes
    ----------
    head
        Of the meet.
    run
        Heats that were started, latest first.
    coming
        Heats to come.
    protests
        Protests, with the name of the car each is against.
    """

    template: ClassVar[str] = "meets/heats.html"
    place: ClassVar[str] = "meets"

    head: MeetHead
    run: tuple[HeatCard, ...]
    coming: tuple[HeatCard, ...]
    protests: tuple[tuple[Protest, str], ...]


@dataclass(frozen=True)
class HeatPage(Page):
    """One heat of a meet, to be corrected.

    Attributes
    ----------
    head
        Of the meet.
    heat
        The heat.
    note_options
        How a run went, as choices.
    timed
        Whether times are taken.
    correct
        The form that corrects a lane, as typed.
    protest
        The form of a protest, as typed.
    meanwhile
        What others wrote meanwhile.
    protests
        Protests about this heat, with the name of the car each is against.
    """

    template: ClassVar[str] = "meets/heat.html"
    place: ClassVar[str] = "meets"

    head: MeetHead
    heat: HeatCard
    note_options: tuple[tuple[str, str], ...]
    timed: bool
    correct: Typed
    protest: Typed
    meanwhile: tuple[str, ...]
    protests: tuple[tuple[Protest, str], ...]


@router.get("/meets/{meet_id}/heats")
def show_heats(request: Request, book: Book, meet_id: Number) -> Response:
    """Show all heats of a meet."""
    view = meet_view(request, book, meet_id)
    run = [heat_card(view, heat) for heat in view.state.heats.values()]
    page = HeatsPage(
        head=meet_head(request, view, "heats"),
        run=tuple(reversed(run)),
        coming=tuple(planned_card(view, one) for one in upcoming(view.state)),
        protests=_protests(view),
    )
    return show(request, page)


@router.get("/meets/{meet_id}/heats/{heat}")
def show_heat(request: Request, book: Book, meet_id: Number, heat: Number) -> Response:
    """Show one heat."""
    return show(request, _page(request, meet_view(request, book, meet_id), heat))


@router.post("/meets/{meet_id}/heats/{heat}/lanes/{lane}")
def correct(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    meet_id: Number,
    heat: Number,
    lane: Number,
) -> Response:
    """Give a lane of a heat another value, with the reason."""
    answers = Answers("correct", pairs(form), preferences, LABELS)
    view = meet_view(request, book, meet_id)
    try:
        told = read_told(answers, [lane], timed=view.state.settings.timed)
        if not told:
            raise InvalidInput([Problem(f"lane {lane}", "empty", "a time, or how it went")])
        reason = answers.text("reason")
        correct_heat(book, meet_id, writer(request, answers, now), heat, told[0], reason)
    except InvalidInput as wrong:
        refused = answers.refused(beside_lanes(wrong))
        fresh = meet_view(request, book, meet_id)
        return refuse(request, _page(request, fresh, heat, correct=refused))
    except MeetChanged as changed:
        fresh = meet_view(request, book, meet_id)
        page = _page(request, fresh, heat, correct=answers.as_typed)
        return refuse(request, replace(page, meanwhile=told_change(fresh, changed)))
    to = f"/meets/{meet_id}/heats/{heat}"
    return done(request, to, Flash("Corrected; what it said before is kept."))


@router.post("/meets/{meet_id}/protests")
def protest(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, meet_id: Number
) -> Response:
    """Note a protest."""
    answers = Answers("protest", pairs(form), preferences, LABELS)
    heat = _number(answers, "heat")
    try:
        who = writer(request, answers, now)
        note_protest(book, meet_id, who, _number(answers, "car"), heat, answers.text("protest"))
    except InvalidInput as wrong:
        view = meet_view(request, book, meet_id)
        return refuse(request, _page(request, view, heat, protest=answers.refused(wrong)))
    return done(request, f"/meets/{meet_id}/heats", Flash("The protest is noted."))


@router.post("/meets/{meet_id}/protests/{seq}")
def rule(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    meet_id: Number,
    seq: Number,
) -> Response:
    """Note what was decided on a protest."""
    answers = Answers("ruling", pairs(form), preferences, LABELS)
    to, view = f"/meets/{meet_id}/heats", meet_view(request, book, meet_id)
    try:
        rule_on(book, meet_id, writer(request, answers, now), seq, answers.text("ruling"))
    except MeetChanged as changed:
        return changed_meanwhile(request, to, view, changed)
    return done(request, to, Flash("The ruling is noted."))


def _page(
    request: Request,
    view: MeetView,
    number: int,
    *,
    correct: Typed | None = None,
    protest: Typed | None = None,
) -> HeatPage:
    heat = view.state.heats.get(number)
    if heat is None:
        raise NotFound("heat that was run", number)
    return HeatPage(
        head=meet_head(request, view, "heats"),
        heat=heat_card(view, heat),
        note_options=NOTE_OPTIONS,
        timed=view.state.settings.timed,
        correct=correct or form_with_key("correct"),
        protest=protest or form_with_key("protest"),
        meanwhile=(),
        protests=tuple(one for one in _protests(view) if one[0].heat == number),
    )


def _protests(view: MeetView) -> tuple[tuple[Protest, str], ...]:
    return tuple((one, view.name(one.car)) for one in reversed(view.state.protests))


def _number(answers: Answers, name: str) -> int:
    text = answers.text(name)
    return int(text) if text.isdecimal() and len(text) < 9 else 0
