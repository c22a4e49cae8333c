"""What is changed about a build: order, steps taken out, own steps, its end."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput
from hillbench.records import build_store
from hillbench.usecases.build_order import add_own_step, move_step, remove_step
from hillbench.usecases.end_build import abandon_build, finish_build, resume_build, save_template
from hillbench.web.answer import done, refuse
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.build_step_form import STEP_LABELS, read_step
from hillbench.web.builds import build_page
from hillbench.web.flash import Flash
from hillbench.web.typed import Answers

router = APIRouter(prefix="/builds/{build_id}")

_LABELS = {"name": "The name", "anyway": "The build", "build": "The build"}


@router.post("/steps/{step_id}/move")
def move(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    build_id: Number,
    step_id: Number,
) -> Response:
    """Move a step one place up or down."""
    answers = Answers("steps", pairs(form), preferences, {})
    by = 1 if answers.text("by") == "later" else -1
    try:
        move_step(book, step_id, by, now)
    except InvalidInput as wrong:
        page = build_page(book, build_id, now, preferences, answers.refused(wrong))
        return refuse(request, page)
    return done(request, f"/builds/{build_id}#step-{step_id}", Flash("The step is moved."))


@router.post("/steps/{step_id}/remove")
def remove(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    build_id: Number,
    step_id: Number,
) -> Response:
    """Take a step out; where others wait for it, only when that is asked for."""
    typed = (*pairs(form), ("step_id", str(step_id)))
    answers = Answers("steps", typed, preferences, {})
    with book.read() as session:
        title = build_store.find_step(session, step_id).step.title
    try:
        remove_step(book, step_id, now, reattach=answers.text("reattach") == "on")
    except InvalidInput as wrong:
        page = build_page(book, build_id, now, preferences, answers.refused(wrong))
        return refuse(request, page)
    undo = f"/undo/build_step/{step_id}?back=/builds/{build_id}"
    return done(request, f"/builds/{build_id}#steps", Flash(f"{title} is taken out.", undo))


@router.post("/own")
def add_own(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, build_id: Number
) -> Response:
    """Add a step of the builder's own."""
    answers = Answers("own", pairs(form), preferences, STEP_LABELS)
    step = read_step(answers)
    before = answers.text("before_id")
    try:
        answers.require()
        before_id = int(before) if before.isdecimal() else None
        added = add_own_step(book, build_id, step, now, before_id=before_id)
    except InvalidInput as wrong:
        page = build_page(book, build_id, now, preferences, answers.refused(wrong))
        return refuse(request, page)
    return done(
        request, f"/builds/{build_id}#step-{added.id}", Flash(f"{added.step.title} is added.")
    )


@router.post("/template")
def keep_template(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, build_id: Number
) -> Response:
    """Keep the steps as a template."""

    def act(answers: Answers) -> str:
        kept = save_template(book, build_id, answers.text("name"), now)
        return f"Kept as the template {kept.name}: choose it when you plan the next build."

    return _acted(request, book, preferences, now, form, build_id, "saved", act)


@router.post("/finish")
def finish(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, build_id: Number
) -> Response:
    """Finish a build."""

    def act(answers: Answers) -> str:
        build = finish_build(book, build_id, now, anyway=answers.text("anyway") == "on")
        return f"{build.name} is finished."

    return _acted(request, book, preferences, now, form, build_id, "ended", act)


@router.post("/abandon")
def abandon(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, build_id: Number
) -> Response:
    """Give a build up; what is ticked goes back into the drawer."""

    def act(answers: Answers) -> str:
        ticked = answers.as_typed.values("back")
        build = abandon_build(
            book, build_id, now, give_back=[int(one) for one in ticked if one.isdecimal()]
        )
        return f"{build.name} is abandoned; what was ticked is back in the drawer."

    return _acted(request, book, preferences, now, form, build_id, "ended", act)


@router.post("/resume")
def resume(request: Request, book: Book, now: Now, build_id: Number) -> Response:
    """Take up a build again."""
    build = resume_build(book, build_id, now)
    told = f"{build.name} is in hand again. What went back into the drawer is not drawn anew."
    return done(request, f"/builds/{build_id}", Flash(told))


def _acted(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    build_id: int,
    name: str,
    act: Callable[[Answers], str],
) -> Response:
    answers = Answers(name, pairs(form), preferences, _LABELS)
    try:
        told = act(answers)
    except InvalidInput as wrong:
        page = build_page(book, build_id, now, preferences, answers.refused(wrong))
        return refuse(request, page)
    return done(request, f"/builds/{build_id}", Flash(told))
