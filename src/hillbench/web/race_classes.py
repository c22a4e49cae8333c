"""Classes: the rules that scrutiny checks, kept as data."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.errors import InvalidInput
from hillbench.racing.class_rules import MEASURED, ClassRules, Limit
from hillbench.records.bench_book import BenchBook
from hillbench.records.meet_entities import RaceClass
from hillbench.records.meet_store import find_class
from hillbench.usecases.save_meet import copy_class, save_class
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.dates import read_day
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.preferences import Preferences
from hillbench.web.showing import typed_again
from hillbench.web.typed import Answers, Typed, default_unit

router = APIRouter()

_WORDS: Final = {name: name.rsplit("_", 1)[0].replace("_", " ").capitalize() for name in MEASURED}
_LABELS: Final = {
    "name": "Name",
    "note": "Note",
    "from_on": "Holds from",
    "until_on": "Holds until",
    "questions": "Questions",
    "scale_guard_g": "Doubt of the scale",
    "caliper_guard_mm": "Doubt of the caliper",
    **_WORDS,
    **{f"least_{name}": f"Least {word.lower()}" for name, word in _WORDS.items()},
    **{f"most_{name}": f"Most {word.lower()}" for name, word in _WORDS.items()},
}
QUESTIONS: Final = (
    "Body and base are those of one casting of die-cast metal.",
    "Wheels and axles came from a 1:64 car.",
    "Only dry lubricant.",
    "All weight is fixed; nothing moves or rattles.",
    "No motor, spring, magnet or battery.",
)
"""What a new class asks; common practice, no source."""


@dataclass(frozen=True)
class ClassPage(Page):
    """One class, or a new one.

    Attributes
    ----------
    title
        Its name, or that it is new.
    class_id
        Its number; 0 for a new one.
    rules
        The form, as typed.
    quantities
        Name, words and unit of what may be limited.
    units
        Units of the doubts of scale and caliper.
    copied_from
        The class it began as a copy of; None for none.
    removed
        Whether it was removed.
    """

    template: ClassVar[str] = "meets/class.html"
    place: ClassVar[str] = "meets"

    title: str
    class_id: int
    rules: Typed
    quantities: tuple[tuple[str, str, str], ...]
    units: tuple[str, str]
    copied_from: RaceClass | None
    removed: bool


@router.get("/classes/new")
def show_new(request: Request, preferences: Units) -> Response:
    """Show the form of a new class."""
    typed = Typed("rules", tuple(_fields(ClassRules((), QUESTIONS), preferences)))
    return show(request, _page(preferences, None, None, typed))


@router.post("/classes")
def add(request: Request, book: Book, preferences: Units, now: Now, form: Form) -> Response:
    """Keep a new class."""
    answers = Answers("rules", pairs(form), preferences, _LABELS)
    try:
        kept = _save(book, answers, now, None)
    except InvalidInput as wrong:
        return refuse(request, _page(preferences, None, None, answers.refused(wrong)))
    return done(request, f"/classes/{kept.id}", Flash("The class is kept."))


@router.get("/classes/{class_id}")
def show_class(request: Request, book: Book, preferences: Units, class_id: Number) -> Response:
    """Show one class."""
    found, source = _find(book, class_id)
    held = [
        ("name", found.name),
        ("note", found.note),
        ("from_on", "" if found.from_on is None else found.from_on.isoformat()),
        ("until_on", "" if found.until_on is None else found.until_on.isoformat()),
        *_fields(found.rules, preferences),
    ]
    return show(request, _page(preferences, found, source, Typed("rules", tuple(held))))


@router.post("/classes/{class_id}")
def change(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, class_id: Number
) -> Response:
    """Keep a class that was changed; sheets that were signed stay as they are."""
    answers = Answers("rules", pairs(form), preferences, _LABELS)
    found, source = _find(book, class_id)
    try:
        _save(book, answers, now, class_id)
    except InvalidInput as wrong:
        return refuse(request, _page(preferences, found, source, answers.refused(wrong)))
    told = "The class is kept; sheets signed before stay as they are."
    return done(request, f"/classes/{class_id}", Flash(told))


@router.post("/classes/{class_id}/copy")
def copy(request: Request, book: Book, now: Now, class_id: Number) -> Response:
    """Copy a class, to be changed for a guest league."""
    made = copy_class(book, class_id, now)
    told = "This is the copy: change what the guest league wants otherwise."
    return done(request, f"/classes/{made.id}", Flash(told))


def _save(book: BenchBook, answers: Answers, now: datetime, class_id: int | None) -> RaceClass:
    limits = []
    for name in MEASURED:
        dimension = _dimension(name)
        least = answers.quantity(f"least_{name}", dimension, required=False)
        most = answers.quantity(f"most_{name}", dimension, required=False)
        if least is not None or most is not None:
            limits.append(Limit(name, least, most))
    guards = {
        "scale_guard_g": answers.quantity("scale_guard_g", units.MASS, required=False),
        "caliper_guard_mm": answers.quantity("caliper_guard_mm", units.LENGTH, required=False),
    }
    from_on, until_on = read_day(answers, "from_on"), read_day(answers, "until_on")
    answers.require()
    questions = tuple(line.strip() for line in answers.text("questions").splitlines())
    rules = ClassRules(
        tuple(limits),
        tuple(line for line in questions if line),
        **{name: value for name, value in guards.items() if value is not None},
    )
    return save_class(
        book,
        answers.text("name"),
        answers.text("note"),
        rules,
        now,
        class_id=class_id,
        from_on=from_on,
        until_on=until_on,
        copied_from_id=None,
    )


def _fields(rules: ClassRules, preferences: Preferences) -> Iterator[tuple[str, str]]:
    """Yield rules as they would be typed."""
    yield "questions", "\n".join(rules.questions)
    for name, value in (
        ("scale_guard_g", rules.scale_guard_g),
        ("caliper_guard_mm", rules.caliper_guard_mm),
    ):
        dimension = units.MASS if name.endswith("_g") else units.LENGTH
        yield name, typed_again(value, dimension, default_unit(dimension, preferences))
    for limit in rules.limits:
        dimension = _dimension(limit.quantity)
        unit = default_unit(dimension, preferences)
        for side, bound in (("least", limit.least), ("most", limit.most)):
            if bound is not None:
                yield f"{side}_{limit.quantity}", typed_again(bound, dimension, unit)


def _find(book: BenchBook, class_id: int) -> tuple[RaceClass, RaceClass | None]:
    with book.read() as session:
        found = find_class(session, class_id)
        source_id = found.copied_from_id
        return found, None if source_id is None else find_class(session, source_id)


def _page(
    preferences: Preferences, found: RaceClass | None, source: RaceClass | None, typed: Typed
) -> ClassPage:
    return ClassPage(
        title="New class" if found is None else found.name,
        class_id=0 if found is None else found.id,
        rules=typed,
        quantities=tuple(
            (name, _WORDS[name], default_unit(_dimension(name), preferences)) for name in MEASURED
        ),
        units=(preferences.mass_unit, preferences.length_unit),
        copied_from=source,
        removed=found is not None and found.removed_at is not None,
    )


def _dimension(name: str) -> units.Dimension:
    return units.MASS if MEASURED[name][0] == "g" else units.LENGTH
