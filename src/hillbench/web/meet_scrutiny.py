"""Scrutiny on a phone: measured, ticked, photographed, signed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.errors import InvalidInput, NotFound
from hillbench.racing.class_rules import MEASURED, ClassRules, Limit
from hillbench.racing.meet_event import EventKind
from hillbench.racing.meet_state import Entry
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.enter_cars import note_car
from hillbench.usecases.read_meet import MeetView
from hillbench.usecases.scrutinise import Checked, known_of, scrutinise
from hillbench.usecases.write_journal import MeetChanged
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs, upload
from hillbench.web.flash import Flash
from hillbench.web.meet_frame import (
    MeetHead,
    changed_meanwhile,
    meet_head,
    meet_view,
    new_key,
    new_seed,
    told_change,
    writer,
)
from hillbench.web.page import Page
from hillbench.web.preferences import Preferences
from hillbench.web.showing import typed_again
from hillbench.web.typed import Answers, Typed, default_unit
from hillbench.web.visitor import name_of

router = APIRouter()

LABELS: Final = {
    "signed_by": "Signed by",
    "photo": "Photo",
    **{name: name.rsplit("_", 1)[0].replace("_", " ").capitalize() for name in MEASURED},
}
_MOST_READINGS: Final = 10


@dataclass(frozen=True, slots=True)
class LimitLine:
    """One limit of the class as it is shown.

    Attributes
    ----------
    name, label
        Of the field.
    allowed
        The limit, in words.
    unit
        Unit of a bare number.
    hint
        What is known already, and how it is judged.
    """

    name: str
    label: str
    allowed: str
    unit: str
    hint: str


@dataclass(frozen=True)
class ScrutinyPage(Page):
    """The cars to be looked at.

    Attributes
    ----------
    head
        Of the meet.
    sentence
        How far scrutiny has come.
    waiting, passed
        Cars not passed yet, and those that are.
    rules_name
        The class; empty for none.
    """

    template: ClassVar[str] = "meets/scrutiny.html"
    place: ClassVar[str] = "meets"

    head: MeetHead
    sentence: str
    waiting: tuple[Entry, ...]
    passed: tuple[Entry, ...]
    rules_name: str


@dataclass(frozen=True)
class ScrutinyCarPage(Page):
    """One car under scrutiny.

    Attributes
    ----------
    head
        Of the meet.
    entry
        The car.
    limits, questions
        Of the class.
    sheet
        The form, as typed.
    meanwhile
        What others wrote meanwhile.
    reasons
        Why it was not passed last time.
    photos
        Checksums of the photos taken, latest first.
    """

    template: ClassVar[str] = "meets/scrutiny_car.html"
    place: ClassVar[str] = "meets"

    head: MeetHead
    entry: Entry
    limits: tuple[LimitLine, ...]
    questions: tuple[str, ...]
    sheet: Typed
    meanwhile: tuple[str, ...]
    reasons: tuple[str, ...]
    photos: tuple[str, ...]


@router.get("/meets/{meet_id}/scrutiny")
def show_scrutiny(request: Request, book: Book, meet_id: Number) -> Response:
    """Show the cars to be looked at."""
    view = meet_view(request, book, meet_id)
    entries = [view.state.entries[car] for car in view.state.active()]
    passed = tuple(entry for entry in entries if entry.verdict == "pass")
    waiting = tuple(entry for entry in entries if entry.verdict != "pass")
    page = ScrutinyPage(
        head=meet_head(request, view, "scrutiny"),
        sentence=f"{len(passed)} of {len(entries)} cars passed.",
        waiting=waiting,
        passed=passed,
        rules_name="" if view.race_class is None else view.race_class.name,
    )
    return show(request, page)


@router.get("/meets/{meet_id}/scrutiny/{car}")
def show_car(
    request: Request, book: Book, preferences: Units, meet_id: Number, car: Number
) -> Response:
    """Show the form of one car."""
    view = meet_view(request, book, meet_id)
    return show(request, _page(request, book, preferences, view, car))


@router.post("/meets/{meet_id}/scrutiny/{car}")
def sign(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    meet_id: Number,
    car: Number,
) -> Response:
    """Judge a car and keep the sheet."""
    answers = Answers("sheet", pairs(form), preferences, LABELS)
    view = meet_view(request, book, meet_id)
    rules = _rules(view)
    try:
        checked = _checked(answers, rules, preferences, upload(form, "photo"))
        who = writer(request, answers, now)
        _, judged = scrutinise(book, meet_id, who, car, checked)
    except InvalidInput as wrong:
        page = _page(request, book, preferences, view, car, answers.refused(wrong))
        return refuse(request, page)
    except MeetChanged as changed:
        fresh = meet_view(request, book, meet_id)
        told = told_change(fresh, changed)
        page = _page(request, book, preferences, fresh, car, answers.as_typed, told)
        return refuse(request, page)
    good = judged.verdict == "pass"
    to = f"/meets/{meet_id}/scrutiny" + ("" if good else f"/{car}")
    why = "" if good else f" {' '.join(judged.reasons()[:3])}"
    return done(request, to, Flash(f"{view.name(car)}: {judged.verdict}.{why}"))


@router.post("/meets/{meet_id}/scrutiny/{car}/{post}")
def check_in(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    meet_id: Number,
    car: Number,
    post: str,
) -> Response:
    """Note that a car has come by post, or is sent back."""
    kinds = {"receive": EventKind.RECEIVED, "send-back": EventKind.SENT_BACK}
    if post not in kinds:
        raise NotFound("page", post)
    answers = Answers("post", pairs(form), preferences, LABELS)
    to, view = f"/meets/{meet_id}/scrutiny/{car}", meet_view(request, book, meet_id)
    try:
        note_car(book, meet_id, writer(request, answers, now), car, kinds[post], new_seed())
    except MeetChanged as changed:
        return changed_meanwhile(request, to, view, changed)
    word = "has come by post" if post == "receive" else "is on its way back"
    return done(request, to, Flash(f"{view.name(car)} {word}."))


def _checked(
    answers: Answers, rules: ClassRules, preferences: Preferences, photo: bytes
) -> Checked:
    readings = {}
    for limit in rules.limits:
        values = _readings(answers, limit.quantity, preferences)
        if values:
            readings[limit.quantity] = values
    told = {}
    for place, question in enumerate(rules.questions):
        answer = answers.text(f"question_{place}")
        if answer in {"yes", "no"}:
            told[question] = answer == "yes"
    answers.require()
    return Checked(readings, told, answers.text("signed_by"), photo)


def _readings(answers: Answers, name: str, preferences: Preferences) -> Sequence[float]:
    """Return the readings typed into one field, parted by blanks or semicolons."""
    dimension = _dimension(name)
    unit = default_unit(dimension, preferences)
    text = answers.text(name).strip()
    # One value with its unit ("2 oz") stands before several bare numbers.
    words = text.replace(";", " ").split()
    bare = all(word.replace(",", "").replace(".", "").isdecimal() for word in words)
    parts = words if bare else [part for part in text.split(";") if part.strip()]
    values = [answers.parse(name, part, dimension, unit) for part in parts[:_MOST_READINGS]]
    return [value for value in values if value is not None]


def _page(
    request: Request,
    book: BenchBook,
    preferences: Preferences,
    view: MeetView,
    car: int,
    typed: Typed | None = None,
    meanwhile: tuple[str, ...] = (),
) -> ScrutinyCarPage:
    entry, rules = view.state.entries.get(car), _rules(view)
    if entry is None:
        raise NotFound("car of this meet", car)
    known = {} if entry.car_id is None else known_of(book, entry.car_id)
    last = entry.sheets[-1] if entry.sheets else None
    return ScrutinyCarPage(
        head=meet_head(request, view, "scrutiny"),
        entry=entry,
        limits=tuple(
            _limit(rules, limit, limit.quantity in known, preferences) for limit in rules.limits
        ),
        questions=rules.questions,
        sheet=typed or _fresh(request, entry, rules, known, preferences),
        meanwhile=meanwhile,
        reasons=() if last is None else last.reasons,
        photos=tuple(one.photo_sha256 for one in reversed(entry.sheets) if one.photo_sha256),
    )


def _fresh(
    request: Request,
    entry: Entry,
    rules: ClassRules,
    known: dict[str, float],
    preferences: Preferences,
) -> Typed:
    """Return the form with what is known: the last sheet, else the car's own record."""
    values = {"entry_key": new_key(), "signed_by": name_of(request)}
    last = entry.sheets[-1] if entry.sheets else None
    for limit in rules.limits:
        name = limit.quantity
        found = [known[name]] if name in known else []
        if last is not None and name in last.readings:
            found = last.readings[name]
        dimension = _dimension(name)
        unit = default_unit(dimension, preferences)
        values[name] = " ".join(typed_again(value, dimension, unit) for value in found)
    if last is not None:
        for place, question in enumerate(rules.questions):
            if question in last.answers:
                values[f"question_{place}"] = "yes" if last.answers[question] else "no"
    return Typed.holding("sheet", values)


def _limit(rules: ClassRules, limit: Limit, known: bool, preferences: Preferences) -> LimitLine:
    dimension = _dimension(limit.quantity)
    unit = default_unit(dimension, preferences)
    least, most = (
        None if bound is None else f"{typed_again(bound, dimension, unit)} {unit}"
        for bound in (limit.least, limit.most)
    )
    if least and most:
        allowed = f"{least} to {most}"
    else:
        allowed = f"at most {most}" if most else f"at least {least}"
    guard = f"{typed_again(rules.guard(limit.quantity), dimension, unit)} {unit}"
    hint = f"Within {guard} of the limit: measure again; three readings decide by their mean."
    if known:
        hint = f"From the car's own record. {hint}"
    return LimitLine(limit.quantity, LABELS[limit.quantity], allowed, unit, hint)


def _dimension(name: str) -> units.Dimension:
    return units.MASS if MEASURED[name][0] == "g" else units.LENGTH


def _rules(view: MeetView) -> ClassRules:
    return ClassRules() if view.race_class is None else view.race_class.rules
