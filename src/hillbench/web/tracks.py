"""Tracks: the list, three ways to begin one, and the editor."""

from __future__ import annotations

from typing import Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.errors import InvalidInput, NotFound
from hillbench.pictures.length_unit import LENGTH_UNITS, LengthUnit
from hillbench.records.bench_book import BenchBook
from hillbench.records.car_store import list_cars
from hillbench.records.entities import Kind
from hillbench.records.track_store import find_track
from hillbench.usecases.list_tracks import list_tracks
from hillbench.usecases.remove_thing import remove_thing
from hillbench.usecases.save_track import save_track
from hillbench.usecases.sketch_track import Hill, Winding, sketch_track
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Units, pairs
from hillbench.web.flash import Flash
from hillbench.web.form_rows import Pairs, act_on_rows
from hillbench.web.outings_shown import times_of_track
from hillbench.web.preferences import Preferences
from hillbench.web.track_entry import TrackReader
from hillbench.web.track_fields import (
    BLANK,
    FORM,
    blank_fields,
    geometry_fields,
    record_fields,
)
from hillbench.web.track_pages import (
    BeginTrackPage,
    Preview,
    PreviewPage,
    TrackCard,
    TrackFormPage,
    TrackListPage,
)
from hillbench.web.typed import Answers, Typed

router = APIRouter()

_PART: Final = "tracks/form.html"
_MOST_CARS: Final = 8
_SKETCH_LABELS: Final = {
    "length_m": "Length",
    "drop_m": "Drop",
    "hill": "Shape",
    "winding": "Bends",
}
_SKETCH_DEFAULTS: Final = {"hill": str(Hill.STEEP_START), "winding": str(Winding.STRAIGHT)}


@router.get("/tracks")
def show_tracks(request: Request, book: Book, preferences: Units) -> Response:
    """Show the list of tracks."""
    cards = tuple(TrackCard.of(summary, _unit(preferences)) for summary in list_tracks(book))
    return show(request, TrackListPage(cards))


@router.get("/tracks/new")
def begin_track(request: Request, preferences: Units, by: str = "") -> Response:
    """Show the ways to begin, or the editor begun in one of them."""
    if by == "sketch":
        return _sketched(request, preferences)
    if by in ("slopes", "heights"):
        typed = Typed(FORM, blank_fields(by))
        waiting = Preview("The picture comes with the length and the first points.")
        return show(request, TrackFormPage.showing(typed, waiting))
    return show(request, BeginTrackPage(Typed.holding("sketch", _SKETCH_DEFAULTS)))


@router.post("/tracks/new")
def add_track(request: Request, book: Book, preferences: Units, now: Now, form: Form) -> Response:
    """Keep a new track, or show the form again after one of its other buttons."""
    return _answered(request, book, preferences, now, pairs(form), None)


@router.post("/tracks/preview")
def preview_track(request: Request, preferences: Units, form: Form) -> Response:
    """Show the picture of a track that is being typed; nothing is kept."""
    typed = pairs(form)
    name = Typed(FORM, typed).value("name")
    return show(
        request, PreviewPage(Preview.of(TrackReader(typed, preferences), name, _unit(preferences)))
    )


@router.get("/tracks/{track_id}")
def edit_track(request: Request, book: Book, preferences: Units, track_id: int) -> Response:
    """Show the editor of a track."""
    with book.read() as session:
        record = find_track(session, track_id)
        cars = list_cars(session)[:_MOST_CARS]
    if record.removed_at is not None:
        raise NotFound("track", track_id)
    typed = Typed(FORM, record_fields(record, preferences))
    preview = Preview.drawn(record.track, record.name, _unit(preferences))
    page = TrackFormPage.showing(
        typed,
        preview,
        heading=record.name,
        track_id=track_id,
        cars=cars,
        outings=times_of_track(book, track_id),
    )
    return show(request, page)


@router.post("/tracks/{track_id}")
def change_track(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, track_id: int
) -> Response:
    """Keep a changed track, or show the form again after one of its other buttons."""
    return _answered(request, book, preferences, now, pairs(form), track_id)


@router.post("/tracks/{track_id}/remove")
def remove_track(request: Request, book: Book, now: Now, track_id: int) -> Response:
    """Take a track out of use; it can be brought back."""
    with book.read() as session:
        name = find_track(session, track_id).name
    remove_thing(book, Kind.TRACK, track_id, now)
    return done(request, "/tracks", Flash(f"{name} removed.", f"/undo/track/{track_id}"))


def _unit(preferences: Preferences) -> LengthUnit:
    return LENGTH_UNITS[preferences.distance_unit]


def _sketched(request: Request, preferences: Preferences) -> Response:
    asked = tuple(request.query_params.multi_items())
    answers = Answers("sketch", asked, preferences, _SKETCH_LABELS)
    try:
        length = answers.quantity("length_m", units.DISTANCE)
        drop = answers.quantity("drop_m", units.DISTANCE)
        hill = Hill(answers.choice("hill", [str(shape) for shape in Hill]))
        winding = Winding(answers.choice("winding", [str(way) for way in Winding]))
        answers.require()
        track = sketch_track(length or 0.0, drop or 0.0, hill, winding)
    except InvalidInput as wrong:
        return refuse(request, BeginTrackPage(answers.refused(wrong)))
    others = tuple(pair for pair in blank_fields("slopes", 0) if pair[0] != "given")
    typed = Typed(FORM, (*others, *geometry_fields(track, preferences)))
    return show(
        request, TrackFormPage.showing(typed, Preview.drawn(track, "The track", _unit(preferences)))
    )


def _answered(
    request: Request,
    book: BenchBook,
    preferences: Preferences,
    now: Now,
    typed: Pairs,
    track_id: int | None,
) -> Response:
    action = Typed(FORM, typed).value("action")
    typed = tuple(pair for pair in typed if pair[0] != "action")
    heading = "A new track"
    if track_id is not None:
        with book.read() as session:
            heading = find_track(session, track_id).name
    if action == "save":
        return _saved(request, book, preferences, now, typed, track_id, heading)
    changed = act_on_rows(typed, action, BLANK)
    shown = TrackReader(changed or typed, preferences).as_rows()
    preview = Preview.of(
        TrackReader(shown.pairs, preferences), shown.value("name"), _unit(preferences)
    )
    focus = action.removeprefix("add_") if changed and action.startswith("add_") else ""
    page = TrackFormPage.showing(shown, preview, heading=heading, track_id=track_id, focus=focus)
    return show(request, page, _PART)


def _saved(
    request: Request,
    book: BenchBook,
    preferences: Preferences,
    now: Now,
    typed: Pairs,
    track_id: int | None,
    heading: str,
) -> Response:
    reader = TrackReader(typed, preferences)
    try:
        entry = reader.entry()
        kept = save_track(book, entry.name, entry.note, entry.state, now, track_id=track_id)
    except InvalidInput as wrong:
        preview = Preview.of(TrackReader(typed, preferences), "", _unit(preferences))
        page = TrackFormPage.showing(
            reader.refused(wrong), preview, heading=heading, track_id=track_id
        )
        return refuse(request, page, _PART)
    return done(request, f"/tracks/{kept.id}", Flash(f"{kept.name} saved."))
