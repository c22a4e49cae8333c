"""Trace a panel on a photo: two points whose distance is known, then its corners."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.decals.flatten import Point
from hillbench.decals.panel import CURVATURES, ROLES, Panel, scaled_outline
from hillbench.errors import InvalidInput, Problem
from hillbench.records import car_store, casting_store, photo_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import CastingRecord, Kind, Photo
from hillbench.records.photo_store import Subject
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs, upload
from hillbench.web.decal_panel_form import CURVATURE_OPTIONS, ROLE_OPTIONS
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.typed import Answers, Typed

router = APIRouter()

_LABELS: Final = {
    "name": "The name",
    "role": "The kind of panel",
    "paint": "The paint",
    "known_px": "The two known points",
    "known_mm": "Their distance",
    "points_px": "The corners",
    "photo": "The photo",
}
_FIELDS: Final = {"outline_mm": "points_px"}
_MOST_POINTS: Final = 200


@dataclass(frozen=True)
class TracePage(Page):
    """A photo to trace a panel on.

    Attributes
    ----------
    casting
        The casting.
    photos
        Photos to choose from.
    photo
        The one that is traced; None before one is chosen.
    typed
        The form.
    known, corners
        Points on the photo, px, as far as they can be read.
    roles, curvatures
        What can be chosen.
    """

    template: ClassVar[str] = "decals/trace.html"
    place: ClassVar[str] = "cars"

    casting: CastingRecord
    photos: tuple[Photo, ...]
    photo: Photo | None
    typed: Typed
    known: tuple[Point, ...]
    corners: tuple[Point, ...]
    roles: tuple[tuple[str, str], ...]
    curvatures: tuple[tuple[str, str], ...]


@router.get("/castings/{casting_id}/panels/trace")
def show_trace(
    request: Request, book: Book, casting_id: Number, photo: str = "", role: str = ""
) -> Response:
    """Show photos to choose from, or the chosen one with the form."""
    known = role if role in ROLES else "left door"
    typed = Typed.holding("trace", {"role": known, "curvature": "flat", "paint": "#c8102e"})
    return show(request, _page(book, casting_id, photo, typed))


@router.post("/castings/{casting_id}/panels/photo")
def add_photo(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, casting_id: Number
) -> Response:
    """Keep a photo of the casting and trace on it."""
    from hillbench.usecases.add_photo import add_photo as add  # loads the picture library

    answers = Answers("trace", pairs(form), preferences, _LABELS)
    subject = Subject(Kind.CASTING, casting_id)
    try:
        photo = add(book, subject, upload(form, "photo"), now, caption="Panels")
    except InvalidInput as wrong:
        return refuse(request, _page(book, casting_id, "", answers.refused(wrong)))
    to = f"/castings/{casting_id}/panels/trace?photo={photo.sha256}"
    return done(request, to, Flash("The photo is kept.", f"/undo/put-away/photo/{photo.id}"))


@router.post("/castings/{casting_id}/panels/trace")
def keep_trace(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, casting_id: Number
) -> Response:
    """Keep the traced panel, or show the points again."""
    from hillbench.usecases.save_panel import save_panel

    answers = Answers("trace", pairs(form), preferences, _LABELS)
    photo = answers.text("photo")
    if answers.text("action") == "show":
        return show(request, _page(book, casting_id, photo, answers.as_typed))
    try:
        record = save_panel(book, casting_id, _traced(answers), now)
    except InvalidInput as wrong:
        told = [replace(one, where=_FIELDS.get(one.where, one.where)) for one in wrong.problems]
        typed = answers.refused(InvalidInput(told))
        return refuse(request, _page(book, casting_id, photo, typed))
    return done(request, f"/panels/{record.id}", Flash("The traced panel is kept: see its size."))


def _traced(answers: Answers) -> Panel:
    known = _points(answers, "known_px")
    corners = _points(answers, "points_px")
    known_mm = answers.quantity("known_mm", units.LENGTH)
    if len(known) != 2:
        seen = f"{len(known)} points"
        answers.problems.append(Problem("known_px", seen, "two points", "click the two first"))
    if not 3 <= len(corners) <= _MOST_POINTS:
        allowed = f"3 to {_MOST_POINTS} corners in order round the panel"
        answers.problems.append(Problem("points_px", f"{len(corners)} corners", allowed))
    role = answers.choice("role", ROLES)
    curvature = answers.choice("curvature", CURVATURES)
    answers.require()
    return Panel(
        name=answers.text("name") or role,
        role=role,
        outline_mm=scaled_outline(corners, (known[0], known[1]), known_mm or 0.0),
        paint=answers.text("paint") or "#ffffff",
        glass=answers.text("glass") == "yes",
        curvature=curvature,
    )


def _points(answers: Answers, name: str) -> tuple[Point, ...]:
    found = _read_points(answers.text(name))
    if found is None:
        allowed = "one point on each line: two numbers with a blank between, px"
        answers.problems.append(Problem(name, "a line that is no point", allowed))
        return ()
    return found


def _read_points(text: str) -> tuple[Point, ...] | None:
    points = []
    for line in text.splitlines()[: _MOST_POINTS + 5]:
        parts = re.findall(r"-?\d{1,6}(?:\.\d{1,4})?", line)
        if line.strip() and (len(parts) != 2 or re.sub(r"[-\d.,;\s]", "", line)):
            return None
        if parts:
            points.append((float(parts[0]), float(parts[1])))
    return tuple(points)


def _page(book: BenchBook, casting_id: int, sha256: str, typed: Typed) -> TracePage:
    with book.read() as session:
        casting = casting_store.find_casting(session, casting_id)
        photos = list(photo_store.list_photos(session, Subject(Kind.CASTING, casting_id)))
        cars = [one for one in car_store.list_cars(session) if one.casting_id == casting_id]
        for car in cars:
            photos += photo_store.list_photos(session, Subject(Kind.CAR, car.id))
    photo = next((one for one in photos if one.sha256 == sha256), None)
    return TracePage(
        casting,
        tuple(photos),
        photo,
        typed,
        _read_points(typed.value("known_px")) or (),
        _read_points(typed.value("points_px")) or (),
        ROLE_OPTIONS,
        CURVATURE_OPTIONS,
    )
