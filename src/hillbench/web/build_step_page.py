"""Change one step of a build."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.building.caution import Caution
from hillbench.errors import InvalidInput, NotFound
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.build_order import edit_step
from hillbench.usecases.build_shown import ShownBuild, ShownStep
from hillbench.usecases.show_build import show_build
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.build_step_form import STEP_LABELS, held_step, read_step
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.typed import Answers, Typed

router = APIRouter(prefix="/builds/{build_id}/steps/{step_id}/edit")


@dataclass(frozen=True)
class StepPage(Page):
    """The form that changes a step.

    Attributes
    ----------
    shown
        The build.
    one
        The step.
    before
        Steps that it may wait for: those that stand before it.
    cautions
        All that can be shown at a step.
    fixed_mass
        Whether its mass is that of counted pieces and not changed here.
    typed
        The form.
    """

    template: ClassVar[str] = "builds/step.html"
    place: ClassVar[str] = "bench"

    shown: ShownBuild
    one: ShownStep
    before: tuple[ShownStep, ...]
    cautions: tuple[Caution, ...]
    fixed_mass: bool
    typed: Typed


@router.get("")
def show_step(
    request: Request, book: Book, preferences: Units, now: Now, build_id: Number, step_id: Number
) -> Response:
    """Show the form that changes a step."""
    page = _page(book, build_id, step_id, now, None)
    typed = Typed("plan", held_step(page.one.step, preferences))
    return show(request, _page(book, build_id, step_id, now, typed))


@router.post("")
def change_step(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    build_id: Number,
    step_id: Number,
) -> Response:
    """Keep the step as it is to be."""
    answers = Answers("plan", pairs(form), preferences, STEP_LABELS)
    before = _page(book, build_id, step_id, now, None).one.step
    step = read_step(answers, before)
    try:
        answers.require()
        edit_step(book, step_id, step, now)
    except InvalidInput as wrong:
        return refuse(request, _page(book, build_id, step_id, now, answers.refused(wrong)))
    return done(request, f"/builds/{build_id}#step-{step_id}", Flash("The step is changed."))


def _page(
    book: BenchBook, build_id: int, step_id: int, now: datetime, typed: Typed | None
) -> StepPage:
    shown = show_build(book, build_id, now)
    one = next((step for step in shown.steps if step.record.id == step_id), None)
    if one is None:
        raise NotFound("step", step_id)
    before = tuple(step for step in shown.steps if step.record.position < one.record.position)
    changes = one.step.changes
    fixed = len(changes) > 1 or any(change.count > 1 for change in changes)
    return StepPage(shown, one, before, tuple(Caution), fixed, typed or Typed("plan"))
