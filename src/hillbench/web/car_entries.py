"""What is entered on the page of a car: weighings, readings, photos and timed runs."""

from __future__ import annotations

from typing import Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.errors import InvalidInput, Problem
from hillbench.records.entities import Kind, RunNote
from hillbench.records.photo_store import Subject
from hillbench.usecases.measure_car import measure_car
from hillbench.usecases.note_run import note_run
from hillbench.usecases.weigh_car import weigh_car
from hillbench.web.answer import done, refuse
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs, upload
from hillbench.web.car_page import car_page
from hillbench.web.flash import Flash
from hillbench.web.quantities import QUANTITIES
from hillbench.web.scale_readings import split_readings
from hillbench.web.showing import Showing
from hillbench.web.templating import count
from hillbench.web.typed import Answers, default_unit

router = APIRouter(prefix="/cars/{car_id}")

_NOTE: Final = {"note": "The note"}
_WEIGH_LABELS: Final = {
    "readings_g": "The reading of the scale",
    "scale_resolution_g": "The smallest step of the scale",
    **_NOTE,
}
_MEASURE_LABELS: Final = {
    **{quantity.name: quantity.label for quantity in QUANTITIES},
    "resolution_mm": "The smallest step of the calliper",
    **_NOTE,
}
_PHOTO_LABELS: Final = {"photo": "The photo", "caption": "The caption"}
_RUN_LABELS: Final = {
    "track_id": "The track",
    "finish_time_s": "The time",
    "note": "How it went",
}


@router.post("/weighings")
def add_weighing(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, car_id: Number
) -> Response:
    """Keep a weighing with all its readings."""
    answers = Answers("weigh", pairs(form), preferences, _WEIGH_LABELS)
    unit = default_unit(units.MASS, preferences)
    readings = [
        answers.parse("readings_g", text, units.MASS, unit)
        for text in split_readings(answers.text("readings_g"))
    ]
    step = answers.quantity("scale_resolution_g", units.MASS)
    try:
        answers.require()
        kept = [reading for reading in readings if reading is not None]
        weighing = weigh_car(book, car_id, kept, step or 0.0, now, note=answers.text("note"))
    except InvalidInput as wrong:
        page = car_page(book, car_id, preferences, answers.refused(wrong))
        return refuse(request, page, "cars/mass.html")
    mass = weighing.estimate()
    shown = Showing(preferences).mass(mass.value, mass.standard_uncertainty)
    return done(
        request,
        f"/cars/{car_id}#mass",
        Flash(f"It weighs {shown}.", f"/undo/put-away/weighing/{weighing.id}"),
        lambda: car_page(book, car_id, preferences),
        "cars/mass.html",
    )


@router.post("/readings")
def add_readings(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, car_id: Number
) -> Response:
    """Keep one reading of each quantity that was filled in."""
    answers = Answers("measure", pairs(form), preferences, _MEASURE_LABELS)
    typed = {
        quantity.name: answers.quantity(quantity.name, quantity.dimension, required=False)
        for quantity in QUANTITIES
    }
    step = answers.quantity("resolution_mm", units.LENGTH, required=False)
    values = {name: value for name, value in typed.items() if value is not None}
    steps = {name: step for name in values if step is not None and name.endswith("_mm")}
    if not values and not answers.problems:
        answers.problems.append(
            Problem("readings", "empty", "a reading of at least one quantity", "fill one in")
        )
    try:
        answers.require()
        measure_car(book, car_id, values, now, resolutions=steps, note=answers.text("note"))
    except InvalidInput as wrong:
        page = car_page(book, car_id, preferences, answers.refused(wrong))
        return refuse(request, page, "cars/measures.html")
    return done(
        request,
        f"/cars/{car_id}#measures",
        Flash(f"{count(len(values), 'reading').capitalize()} kept."),
        lambda: car_page(book, car_id, preferences),
        "cars/measures.html",
    )


@router.post("/photos")
def add_car_photo(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, car_id: Number
) -> Response:
    """Keep a photo."""
    from hillbench.usecases.add_photo import add_photo  # loads the picture library

    answers = Answers("upload", pairs(form), preferences, _PHOTO_LABELS)
    try:
        photo = add_photo(
            book,
            Subject(Kind.CAR, car_id),
            upload(form, "photo"),
            now,
            caption=answers.text("caption"),
        )
    except InvalidInput as wrong:
        return refuse(request, car_page(book, car_id, preferences, answers.refused(wrong)))
    flash = Flash("The photo is kept.", f"/undo/put-away/photo/{photo.id}")
    return done(request, f"/cars/{car_id}#photos", flash)


@router.post("/runs")
def add_run(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, car_id: Number
) -> Response:
    """Keep a timed run."""
    answers = Answers("run", pairs(form), preferences, _RUN_LABELS)
    time_s = answers.quantity("finish_time_s", units.TIME, required=False)
    note = answers.choice("note", [note.value for note in RunNote])
    track = answers.text("track_id")
    if not track.isdecimal():
        answers.problems.append(Problem("track_id", repr(track), "one of the tracks", "choose one"))
    try:
        answers.require()
        run = note_run(book, int(track), car_id, time_s, note, now)
    except InvalidInput as wrong:
        page = car_page(book, car_id, preferences, answers.refused(wrong))
        return refuse(request, page, "cars/hill.html")
    return done(
        request,
        f"/cars/{car_id}#hill",
        Flash("The run is kept.", f"/undo/put-away/timed_run/{run.id}"),
        lambda: car_page(book, car_id, preferences),
        "cars/hill.html",
    )
