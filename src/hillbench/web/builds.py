"""Builds: the list, and one build with its steps, dates, supplies and cost."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.building.caution import Caution
from hillbench.errors import InvalidInput
from hillbench.records import build_template_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.build_entities import BuildTemplate
from hillbench.usecases.begin_build import change_terms
from hillbench.usecases.build_shown import BuildSummary, ShownBuild, ShownStep
from hillbench.usecases.end_build import DrawnItem, drawn_items
from hillbench.usecases.list_goals import Goals, list_goals
from hillbench.usecases.show_build import list_builds, show_build
from hillbench.usecases.watch_clock import watch_clock
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.build_form import LABELS, held_terms, read_terms
from hillbench.web.build_words import build_words, ledger_words, verdict_words, weighing_words
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.preferences import Preferences
from hillbench.web.showing import Showing
from hillbench.web.typed import Answers, Typed

router = APIRouter(prefix="/builds")


@dataclass(frozen=True)
class BuildsPage(Page):
    """All builds.

    Attributes
    ----------
    builds
        Last changed first.
    templates
        Steps to begin other builds from.
    """

    template: ClassVar[str] = "builds/list.html"
    place: ClassVar[str] = "bench"

    builds: tuple[BuildSummary, ...]
    templates: tuple[BuildTemplate, ...]


@dataclass(frozen=True)
class BuildPage(Page):
    """One build.

    Attributes
    ----------
    shown
        The build with everything about it.
    sentence
        Where it stands.
    ledger
        Its mass, in one sentence.
    doubt
        The latest weighing that disagrees, with its likely cause; empty where all agree.
    deadlines
        Steps after which something must rest, with their latest times.
    held
        What it holds of the drawer.
    terms, own, saved, ended, steps_typed
        The forms.
    goals
        Classes and meets it can be built to.
    cautions
        All that can be shown at a step of the builder's own.
    """

    template: ClassVar[str] = "builds/build.html"
    place: ClassVar[str] = "bench"

    shown: ShownBuild
    sentence: str
    ledger: str
    doubt: str
    deadlines: tuple[ShownStep, ...]
    held: tuple[DrawnItem, ...]
    terms: Typed
    own: Typed
    saved: Typed
    ended: Typed
    steps_typed: Typed
    goals: Goals
    cautions: tuple[Caution, ...]


@router.get("")
def show_builds(request: Request, book: Book) -> Response:
    """Show all builds."""
    with book.read() as session:
        templates = build_template_store.list_templates(session)
    return show(request, BuildsPage(list_builds(book), templates))


@router.get("/{build_id}")
def show_one_build(
    request: Request, book: Book, preferences: Units, now: Now, build_id: Number
) -> Response:
    """Show one build."""
    watch_clock(book, build_id, now)
    return show(request, build_page(book, build_id, now, preferences))


@router.post("/{build_id}/terms")
def keep_terms(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, build_id: Number
) -> Response:
    """Keep another name, limit, day or time at the bench."""
    answers = Answers("terms", pairs(form), preferences, LABELS)
    terms = read_terms(answers, list_goals(book, now))
    try:
        answers.require()
        change_terms(book, build_id, terms, now)
    except InvalidInput as wrong:
        page = build_page(book, build_id, now, preferences, answers.refused(wrong))
        return refuse(request, page)
    return done(request, f"/builds/{build_id}", Flash("The changes are kept."))


def build_page(
    book: BenchBook,
    build_id: int,
    now: datetime,
    preferences: Preferences,
    typed: Typed | None = None,
) -> BuildPage:
    """Return the page of a build.

    Parameters
    ----------
    preferences
        Units of the reader.
    typed
        A form that was refused; it is shown as it was typed.
    """
    shown = show_build(book, build_id, now)
    with book.read() as session:
        held = drawn_items(session, build_id)
    forms = {
        "terms": Typed.holding("terms", held_terms(shown.build, preferences)),
        "own": Typed.holding("own", {"minutes": "10"}),
        "saved": Typed.holding("saved", {"name": shown.build.name}),
        "ended": Typed("ended"),
        "steps": Typed("steps"),
    }
    if typed is not None:
        forms[typed.form] = typed
    deadlines = tuple(one for one in shown.steps if one.date is not None and one.step.wait_minutes)
    return BuildPage(
        shown=shown,
        sentence=build_words(shown),
        ledger=_mass_words(shown, Showing(preferences)),
        doubt=_doubt_words(shown, Showing(preferences)),
        deadlines=deadlines,
        held=held,
        terms=forms["terms"],
        own=forms["own"],
        saved=forms["saved"],
        ended=forms["ended"],
        steps_typed=forms["steps"],
        goals=list_goals(book, now),
        cautions=tuple(Caution),
    )


def _doubt_words(shown: ShownBuild, show_in: Showing) -> str:
    line = shown.ledger.worst()
    if line is None:
        return ""
    likely = f" Likely: {line.causes[0].text}." if line.causes else ""
    return f"{line.entry.title}: {weighing_words(line, show_in)}{likely}"


def _mass_words(shown: ShownBuild, show_in: Showing) -> str:
    """Return the mass in a sentence, and what must come off where it is too much."""
    verdict = shown.ledger.verdict
    sentence = ledger_words(shown.ledger, shown.build, show_in)
    if verdict is None or verdict.room_g >= 0.0:
        return sentence
    return f"{sentence} {verdict_words(verdict, show_in)}"
