"""A build at the bench: one step at a time, big, with its wait and what can be done meanwhile."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.building.caution import ALWAYS
from hillbench.errors import InvalidInput, NotFound
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.build_shown import ShownBuild, ShownStep
from hillbench.usecases.note_step import keep_draft, keep_note, photograph_step
from hillbench.usecases.show_build import show_build
from hillbench.usecases.watch_clock import watch_clock
from hillbench.usecases.work_step import StepEntry, check_off, is_whole_car, take_back, turn_to
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs, upload
from hillbench.web.build_words import link_of, weighing_words
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.preferences import Preferences
from hillbench.web.scale_readings import split_readings
from hillbench.web.showing import Showing, typed_again
from hillbench.web.typed import Answers, Typed, default_unit

router = APIRouter(prefix="/builds/{build_id}")
undoing = APIRouter()

_LABELS: Final = {
    "note": "The note",
    "readings_g": "The reading of the scale",
    "scale_resolution_g": "The smallest step of the scale",
    "anyway": "The step",
    "photo": "The photo",
}


@dataclass(frozen=True)
class WorkPage(Page):
    """One step of a build at the bench.

    Attributes
    ----------
    shown
        The build.
    one
        The step in hand; None where all are done.
    number
        Its number in the order.
    previous_key, next_key
        Steps before and after it; empty for none.
    always
        What is said with every caution.
    weighing
        What the scale made of it, in words; empty for nothing.
    causes
        What explains a weighing that disagrees, in words.
    link
        Address and words of the page its result is entered on; None for none.
    whole_car
        Whether a weighing here is likely one of the whole car.
    set_back
        What is said where the clock was set back; empty where it was not.
    seconds_left
        Of what rests, s; 0 for nothing.
    typed
        The form.
    """

    template: ClassVar[str] = "builds/work.html"
    place: ClassVar[str] = "bench"

    shown: ShownBuild
    one: ShownStep | None
    number: int
    previous_key: str
    next_key: str
    always: str
    weighing: str
    causes: tuple[str, ...]
    link: tuple[str, str] | None
    whole_car: bool
    set_back: str
    seconds_left: int
    typed: Typed


@router.get("/work")
def show_work(
    request: Request, book: Book, preferences: Units, now: Now, build_id: Number
) -> Response:
    """Show the step in hand."""
    set_back_s = watch_clock(book, build_id, now)
    return show(request, _page(book, build_id, now, preferences, set_back_s=set_back_s))


@router.post("/turn")
def turn(request: Request, book: Book, now: Now, form: Form, build_id: Number) -> Response:
    """Take up another step."""
    key = form.get("key")
    turn_to(book, build_id, key if isinstance(key, str) else "", now)
    return done(request, f"/builds/{build_id}/work", Flash(""))


@router.post("/steps/{step_id}/done")
def finish_step(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    build_id: Number,
    step_id: Number,
) -> Response:
    """Check a step off, or keep what is corrected at one that is done."""
    answers = Answers("step", pairs(form), preferences, _LABELS)
    entry = _entry(answers, preferences)
    try:
        answers.require()
        kept = check_off(book, step_id, entry, now)
    except InvalidInput as wrong:
        typed = answers.refused(wrong)
        page = _page(book, build_id, now, preferences, step_id=step_id, typed=typed)
        return refuse(request, page)
    undo = f"/undo/builds/{build_id}/steps/{step_id}"
    return done(request, f"/builds/{build_id}/work", Flash(f"Done: {kept.step.title}.", undo))


@undoing.post("/undo/builds/{build_id}/steps/{step_id}")
@router.post("/steps/{step_id}/undone")
def undo_step(
    request: Request, book: Book, now: Now, build_id: Number, step_id: Number
) -> Response:
    """Take a check mark back; what the step drew goes back into the drawer."""
    kept = take_back(book, step_id, now)
    told = f"Not done yet: {kept.step.title}. What it drew is back in the drawer."
    return done(request, f"/builds/{build_id}/work", Flash(told))


@router.post("/steps/{step_id}/note")
def note_step(
    request: Request, book: Book, now: Now, form: Form, build_id: Number, step_id: Number
) -> Response:
    """Keep a note without checking the step off."""
    note = form.get("note")
    keep_note(book, step_id, note if isinstance(note, str) else "", now)
    return done(request, f"/builds/{build_id}/work", Flash("The note is kept."))


@router.post("/steps/{step_id}/draft")
def draft_step(book: Book, form: Form, step_id: Number) -> Response:
    """Keep what is half typed; asked for by the page while one types."""
    keep_draft(book, step_id, dict(pairs(form)))
    return Response(status_code=204)


@router.post("/steps/{step_id}/photo")
def photo_of_step(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    build_id: Number,
    step_id: Number,
) -> Response:
    """Keep a photo of the car taken at a step."""
    answers = Answers("shot", pairs(form), preferences, _LABELS)
    try:
        photograph_step(book, step_id, upload(form, "photo"), now)
    except InvalidInput as wrong:
        typed = answers.refused(wrong)
        page = _page(book, build_id, now, preferences, step_id=step_id, typed=typed)
        return refuse(request, page)
    return done(request, f"/builds/{build_id}/work", Flash("The photo is kept with the car."))


def _entry(answers: Answers, preferences: Preferences) -> StepEntry:
    unit = default_unit(units.MASS, preferences)
    readings = [
        answers.parse("readings_g", text, units.MASS, unit)
        for text in split_readings(answers.text("readings_g"))
    ]
    step_g = answers.quantity("scale_resolution_g", units.MASS, required=bool(readings))
    return StepEntry(
        note=answers.text("note"),
        readings_g=tuple(one for one in readings if one is not None),
        scale_resolution_g=step_g,
        take_from_drawer=answers.text("take_from_drawer") == "on",
        whole_car=answers.text("whole_car") == "on",
        anyway=answers.text("anyway") == "on",
    )


def _page(
    book: BenchBook,
    build_id: int,
    now: datetime,
    preferences: Preferences,
    *,
    step_id: int | None = None,
    typed: Typed | None = None,
    set_back_s: float = 0.0,
) -> WorkPage:
    shown = show_build(book, build_id, now)
    one = shown.current
    if step_id is not None:
        one = next((step for step in shown.steps if step.record.id == step_id), None)
        if one is None:
            raise NotFound("step", step_id)
    keys = [step.step.key for step in shown.steps]
    place = -1 if one is None else keys.index(one.step.key)
    show_in = Showing(preferences)
    rests = None if one is None else one.rest_ends_at
    records = [step.record for step in shown.steps]
    return WorkPage(
        shown=shown,
        one=one,
        number=place + 1,
        previous_key=keys[place - 1] if place > 0 else "",
        next_key=keys[place + 1] if 0 <= place < len(keys) - 1 else "",
        always=ALWAYS,
        weighing="" if one is None else weighing_words(one.line, show_in),
        causes=() if one is None else tuple(cause.text for cause in one.line.causes),
        link=None if one is None else link_of(one.step, shown.car.id),
        whole_car=one is not None and is_whole_car(one.record, records),
        set_back=_set_back_words(set_back_s),
        seconds_left=0 if rests is None else max(int((rests - now).total_seconds()), 0),
        typed=typed or Typed.holding("step", _held(one, shown, preferences)),
    )


def _held(one: ShownStep | None, shown: ShownBuild, preferences: Preferences) -> dict[str, str]:
    """Return what the form of a step shows: the draft, else what was kept."""
    if one is None:
        return {}
    record = one.record
    unit = default_unit(units.MASS, preferences)
    readings = " ".join(typed_again(value, units.MASS, unit) for value in record.readings_g)
    steps_g = [step.record.scale_resolution_g for step in shown.steps]
    last_g = next((value for value in reversed(steps_g) if value is not None), None)
    step_g = record.scale_resolution_g or last_g
    held = {
        "note": record.note,
        "readings_g": readings,
        "scale_resolution_g": "" if step_g is None else typed_again(step_g, units.MASS, unit),
    }
    return {**held, **record.draft}


def _set_back_words(set_back_s: float) -> str:
    if not set_back_s:
        return ""
    minutes = set_back_s / 60.0
    told = f"{minutes:.0f} minutes" if minutes < 90 else f"{minutes / 60.0:.1f} hours"
    return (
        f"The clock of this computer was set back by at least {told}. Waits that were running go "
        "on from what had been waited when it was last looked at; set the clock right."
    )
