"""One livery: what is on the car, before and after, and what to change."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.decals.film import Film
from hillbench.decals.legibility import Sizes, Viewing, readable_sizes
from hillbench.errors import InvalidInput
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.decal_answer import DecalItemAnswer
from hillbench.usecases.decal_question import DecalQuestion, check_decal_question
from hillbench.usecases.show_livery import LiveryView, show_livery
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.decal_urls import art_urls
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured
from hillbench.web.preferences import Preferences
from hillbench.web.showing import typed_again
from hillbench.web.typed import Answers, Typed

router = APIRouter()

_LABELS: Final = {
    "title": "The name",
    "film": "The film",
    "distance_mm": "The distance",
    "frame_width_mm": "The width of the scene",
    "frame_width_px": "The width of the frame",
    "speed_m_s": "The speed",
    "exposure_s": "The exposure",
}
FILM_OPTIONS: Final = (
    ("clear", "clear film"),
    ("clear white", "clear film, white ink below"),
    ("white", "white film"),
)


@dataclass(frozen=True, slots=True)
class ItemLine:
    """One item on one panel, as the table shows it.

    Attributes
    ----------
    number
        Number of the item, from 0.
    answer
        How it fits and shows.
    outer
        Colour that lies around it, as a code.
    """

    number: int
    answer: DecalItemAnswer
    outer: str


@dataclass(frozen=True)
class LiveryPage(Page):
    """One livery.

    Attributes
    ----------
    view
        The livery, judged.
    sentence
        What is to be seen, in one sentence.
    picture
        The panels before and after; None where there are none.
    lines
        Every item on every panel.
    sizes
        What can be read from where it is looked at.
    setting
        The form of film and viewing.
    films
        Films to choose from.
    """

    template: ClassVar[str] = "decals/livery.html"
    place: ClassVar[str] = "cars"

    view: LiveryView
    sentence: str
    picture: Pictured | None
    lines: tuple[ItemLine, ...]
    sizes: Sizes
    setting: Typed
    films: tuple[tuple[str, str], ...]


@router.get("/decals/{livery_id}")
def show_one(request: Request, book: Book, preferences: Units, livery_id: Number) -> Response:
    """Show a livery."""
    return show(request, livery_page(book, livery_id, preferences))


@router.post("/decals/{livery_id}/settings")
def change_settings(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, livery_id: Number
) -> Response:
    """Keep another name, film or way of looking."""
    from hillbench.usecases.save_livery import change_livery

    answers = Answers("setting", pairs(form), preferences, _LABELS)
    view = show_livery(book, livery_id)
    try:
        changed = _settings(answers, view.question)
        change_livery(book, view, changed, now)
    except InvalidInput as wrong:
        return refuse(request, livery_page(book, livery_id, preferences, answers.refused(wrong)))
    return done(request, f"/decals/{livery_id}", Flash("The settings are kept."))


@router.post("/decals/{livery_id}/move")
def move(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, livery_id: Number
) -> Response:
    """Keep where a piece was dragged to."""
    from hillbench.usecases.save_livery import move_place

    answers = Answers("move", pairs(form), preferences, {})
    numbers = [answers.quantity(name, units.NUMBER) for name in ("item", "place")]
    x_mm, y_mm = (answers.quantity(name, units.LENGTH, unit="mm") for name in ("x_mm", "y_mm"))
    answers.require()
    item, place = (int(number or 0) for number in numbers)
    move_place(book, livery_id, item, place, x_mm or 0.0, y_mm or 0.0, now)
    return done(request, f"/decals/{livery_id}", Flash(f"Moved to {x_mm:.1f}, {y_mm:.1f} mm."))


def _settings(answers: Answers, old: DecalQuestion) -> DecalQuestion:
    film = answers.choice("film", [value for value, _ in FILM_OPTIONS])
    by_frame = answers.text("by") == "frame"
    distance = answers.quantity("distance_mm", units.LENGTH, required=not by_frame)
    frame = answers.quantity("frame_width_mm", units.LENGTH, required=by_frame)
    pixels = answers.quantity("frame_width_px", units.NUMBER, required=by_frame)
    speed = answers.quantity("speed_m_s", units.SPEED, required=False)
    exposure = answers.quantity("exposure_s", units.TIME, required=False)
    answers.require()
    viewing = Viewing(
        old.viewing.distance_mm if distance is None else distance,
        frame if by_frame else None,
        1920.0 if pixels is None else pixels,
        speed or 0.0,
        exposure or 0.0,
    )
    changed = dataclasses.replace(
        old,
        title=answers.text("title"),
        film=str(Film.WHITE if film == "white" else Film.CLEAR),
        white_layer=film == "clear white",
        viewing=viewing,
    )
    if changed.items:
        check_decal_question(changed)
    return changed


def livery_page(
    book: BenchBook, livery_id: int, preferences: Preferences, setting: Typed | None = None
) -> LiveryPage:
    """Return the page of a livery.

    Parameters
    ----------
    book
        The open bench book.
    preferences
        Units of the form.
    setting
        A form that was refused.
    """
    view = show_livery(book, livery_id)
    return LiveryPage(
        view,
        _sentence(view),
        _picture(book, view),
        _lines(view),
        readable_sizes(view.question.viewing),
        setting or _holding(view.question, preferences),
        FILM_OPTIONS,
    )


def _sentence(view: LiveryView) -> str:
    if not view.question.items:
        return "Nothing on it yet: add a number, a name or art."
    if view.problems:
        return "It cannot be drawn as it is."
    poor = [one for one in view.judged if one.advice]
    if not poor:
        return "Every item fits, shows on its paint and can be read."
    names = ", ".join(dict.fromkeys(one.piece.item.name for one in poor))
    return f"Look again at {names}: see what to do beside {'it' if len(poor) == 1 else 'each'}."


def _picture(book: BenchBook, view: LiveryView) -> Pictured | None:
    from hillbench.web.decal_pictures import livery_shown

    return livery_shown(view, art_urls(book)) if view.question.panels else None


def _lines(view: LiveryView) -> tuple[ItemLine, ...]:
    from hillbench.usecases.tell_decals import item_answer

    items = list(view.question.items)
    return tuple(
        ItemLine(items.index(one.piece.item), item_answer(one), one.shown.weakest.outer_colour.code)
        for one in view.judged
    )


def _holding(question: DecalQuestion, preferences: Preferences) -> Typed:
    def length(value: float | None) -> str:
        unit = preferences.length_unit
        return "" if value is None else typed_again(value, units.LENGTH, unit)

    viewing = question.viewing
    film = "clear white" if question.white_layer else question.film
    values = {
        "title": question.title,
        "film": film,
        "by": "eye" if viewing.frame_width_mm is None else "frame",
        "distance_mm": length(viewing.distance_mm),
        "frame_width_mm": length(viewing.frame_width_mm),
        "frame_width_px": f"{viewing.frame_width_px:g}",
        "speed_m_s": f"{viewing.speed_m_s:g}" if viewing.speed_m_s else "",
        "exposure_s": f"{viewing.exposure_s:g}" if viewing.exposure_s else "",
    }
    return Typed.holding("setting", values)
