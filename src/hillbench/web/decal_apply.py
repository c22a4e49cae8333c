"""What comes after the print: the steps of applying, and the same scheme on another casting."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput, Problem
from hillbench.records import build_store, car_store, decal_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.build_entities import BuildState
from hillbench.records.casting_store import list_castings
from hillbench.usecases.show_livery import LiveryView, show_livery
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.typed import Answers, Typed

router = APIRouter()

Options = tuple[tuple[str, str], ...]

_CARRY_LABELS: Final = {"casting_id": "The casting", "name": "The name"}


@dataclass(frozen=True, slots=True)
class StepLine:
    """One step as it is shown.

    Attributes
    ----------
    title, text, caution, source
        In words.
    minutes
        Work, min.
    wait
        The wait after it in words; empty for none.
    """

    title: str
    text: str
    caution: str
    source: str
    minutes: float
    wait: str


@dataclass(frozen=True)
class ApplyPage(Page):
    """How to put the decals on.

    Attributes
    ----------
    view
        The livery.
    sentence
        How long it takes.
    steps
        In order.
    builds
        Builds in hand of cars of this casting.
    build
        The form.
    """

    template: ClassVar[str] = "decals/apply.html"
    place: ClassVar[str] = "cars"

    view: LiveryView
    sentence: str
    steps: tuple[StepLine, ...]
    builds: Options
    build: Typed


@dataclass(frozen=True)
class CarryPage(Page):
    """The livery on another casting.

    Attributes
    ----------
    view
        The livery.
    castings
        Castings with panels.
    typed
        The form.
    changes
        What would change, in words; None before a casting was chosen.
    """

    template: ClassVar[str] = "decals/carry.html"
    place: ClassVar[str] = "cars"

    view: LiveryView
    castings: Options
    typed: Typed
    changes: tuple[str, ...] | None


@router.get("/decals/{livery_id}/apply")
def show_apply(request: Request, book: Book, livery_id: Number) -> Response:
    """Show how to put the decals on."""
    return show(request, _apply_page(book, show_livery(book, livery_id)))


@router.post("/decals/{livery_id}/apply")
def put_into_build(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, livery_id: Number
) -> Response:
    """Put the steps with their waits into a build."""
    from hillbench.usecases.dress_in_build import dress_in_build
    from hillbench.usecases.plan_decals import steps_of

    answers = Answers("build", pairs(form), preferences, {"build_id": "The build"})
    view = show_livery(book, livery_id)
    number = answers.text("build_id")
    try:
        if not number.isdecimal():
            raise InvalidInput([Problem("build_id", repr(number), "a build in hand")])
        build = dress_in_build(book, int(number), steps_of(view.question, view.judged), now)
    except InvalidInput as wrong:
        return refuse(request, _apply_page(book, view, answers.refused(wrong)))
    return done(request, f"/builds/{build.id}", Flash(f"The steps are in {build.name}."))


@router.get("/decals/{livery_id}/carry")
def show_carry(request: Request, book: Book, livery_id: Number) -> Response:
    """Show the castings the livery could be carried to."""
    return show(request, _carry_page(book, show_livery(book, livery_id), Typed("carry")))


@router.post("/decals/{livery_id}/carry")
def carry(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, livery_id: Number
) -> Response:
    """Show what would change on another casting, or keep it as a new livery."""
    from hillbench.usecases.suggest_decals import carry_livery, preview_carry

    answers = Answers("carry", pairs(form), preferences, _CARRY_LABELS)
    view = show_livery(book, livery_id)
    casting = answers.text("casting_id")
    try:
        if not casting.isdecimal():
            raise InvalidInput([Problem("casting_id", repr(casting), "a casting with panels")])
        if answers.text("action") != "keep":
            changes = preview_carry(book, view, int(casting)).changes
            return show(request, _carry_page(book, view, answers.as_typed, changes))
        kept = carry_livery(book, view, int(casting), answers.text("name"), now)
    except InvalidInput as wrong:
        return refuse(request, _carry_page(book, view, answers.refused(wrong)))
    flash = Flash(f"{kept.name} is kept.", f"/undo/put-away/livery/{kept.id}")
    return done(request, f"/decals/{kept.id}", flash)


def _apply_page(book: BenchBook, view: LiveryView, build: Typed | None = None) -> ApplyPage:
    from hillbench.usecases.plan_decals import steps_of

    steps = steps_of(view.question, view.judged)
    with book.read() as session:
        cars = {
            car.id: car
            for car in car_store.list_cars(session)
            if car.casting_id == view.record.casting_id
        }
        builds = tuple(
            (str(one.id), f"{one.name} ({cars[one.car_id].name})")
            for one in build_store.list_builds(session)
            if one.car_id in cars and one.state is BuildState.IN_HAND
        )
    lines = tuple(
        StepLine(
            *(one.title, one.text, one.caution, one.source, one.minutes),
            f"Then wait {duration(one.wait_min)}: {one.wait_for}." if one.wait_min else "",
        )
        for one in steps
    )
    work = sum(one.minutes for one in steps)
    waits = sum(one.wait_min for one in steps)
    sentence = f"{duration(work)} of work and {duration(waits)} of waiting."
    if not steps:
        sentence = "Nothing to apply yet: give items places on panels first."
    return ApplyPage(view, sentence, lines, builds, build or Typed("build"))


def duration(minutes: float) -> str:
    """Return a span of time in words: 15 min, 12 h, 3 days."""
    if minutes < 90.0:
        return f"{minutes:.0f} min"
    hours = minutes / 60.0
    return f"{hours:.0f} h" if hours < 48.0 else f"{hours / 24.0:.1f} days"


def _carry_page(
    book: BenchBook, view: LiveryView, typed: Typed, changes: tuple[str, ...] | None = None
) -> CarryPage:
    with book.read() as session:
        counts = decal_store.panel_counts(session)
        castings = tuple(
            (str(one.id), one.name)
            for one in list_castings(session)
            if one.id in counts and one.id != view.record.casting_id
        )
    return CarryPage(view, castings, typed, changes)
