"""Decals: the library of liveries, the art there is, and castings with their panels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput, NotFound, Problem
from hillbench.records import decal_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.casting_store import list_castings
from hillbench.records.decal_store import ArtRecord, LiveryRecord
from hillbench.records.entities import CastingRecord
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs, upload
from hillbench.web.decal_urls import file_name_of
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.typed import Answers, Typed

router = APIRouter()

_LIVERY_LABELS: Final = {"name": "The name", "casting_id": "The casting"}
_ART_LABELS: Final = {"name": "The name", "art": "The file"}


@dataclass(frozen=True)
class DecalsPage(Page):
    """The library of liveries.

    Attributes
    ----------
    liveries
        Liveries by name.
    castings
        Every casting by its number.
    panel_counts
        How many panels each casting has, by its number.
    art
        Kept art.
    item_counts
        Number of items of each livery, by its number.
    livery, upload
        The forms.
    casting_options
        Castings to choose from.
    """

    template: ClassVar[str] = "decals/list.html"
    place: ClassVar[str] = "cars"

    liveries: tuple[LiveryRecord, ...]
    castings: Mapping[int, CastingRecord]
    panel_counts: Mapping[int, int]
    art: tuple[ArtRecord, ...]
    item_counts: Mapping[int, int]
    livery: Typed
    upload: Typed
    casting_options: tuple[tuple[str, str], ...]


@router.get("/decals")
def show_decals(request: Request, book: Book) -> Response:
    """Show the liveries, the art and the castings with panels."""
    return show(request, decals_page(book))


@router.post("/decals/new")
def add_livery(request: Request, book: Book, preferences: Units, now: Now, form: Form) -> Response:
    """Add a livery and show it."""
    from hillbench.usecases.save_livery import add_livery as add

    answers = Answers("livery", pairs(form), preferences, _LIVERY_LABELS)
    casting = answers.text("casting_id")
    if not casting.isdecimal():
        allowed = "one of the castings"
        answers.problems.append(Problem("casting_id", repr(casting), allowed, "choose one"))
    try:
        answers.require()
        kept = add(book, int(casting), answers.text("name"), now)
    except InvalidInput as wrong:
        return refuse(request, decals_page(book, livery=answers.refused(wrong)))
    return done(request, f"/decals/{kept.id}", Flash(f"{kept.name} is begun."))


@router.post("/decals/art")
def add_art(request: Request, book: Book, preferences: Units, now: Now, form: Form) -> Response:
    """Read an uploaded file and keep what is drawn in it."""
    from hillbench.usecases.keep_art import keep_art

    answers = Answers("upload", pairs(form), preferences, _ART_LABELS)
    content = upload(form, "art")
    try:
        if not content:
            raise InvalidInput([Problem("art", "empty", "an SVG, PNG or JPEG", "choose a file")])
        art = keep_art(book, answers.text("name"), file_name_of(form, "art"), content, now)
    except InvalidInput as wrong:
        return refuse(request, decals_page(book, art=answers.refused(wrong)))
    flash = Flash(f"{art.name} is kept.", f"/undo/put-away/decal_art/{art.id}")
    return done(request, "/decals#art", flash)


@router.get("/decals/art/{art_id}/pixels")
def send_pixels(book: Book, art_id: Number) -> Response:
    """Send the pixels of a piece of art, as we encoded them."""
    import base64

    with book.read() as session:
        found = next((one for one in decal_store.list_art(session) if one.id == art_id), None)
    if found is None or "pixels" not in found.content:
        raise NotFound("art", art_id)
    content = base64.b64decode(found.content["pixels"]["png"])
    return Response(content, media_type="image/png", headers={"cache-control": "private"})


def decals_page(
    book: BenchBook, *, livery: Typed | None = None, art: Typed | None = None
) -> DecalsPage:
    """Return the library as it is now.

    Parameters
    ----------
    livery, art
        A form that was refused.
    """
    with book.read() as session:
        castings = list_castings(session)
        liveries = decal_store.list_liveries(session)
        counts = decal_store.panel_counts(session)
        arts = decal_store.list_art(session)
        known = {one.id: one for one in list_castings(session, include_removed=True)}
    return DecalsPage(
        liveries,
        known,
        counts,
        arts,
        {one.id: len(one.scheme.get("items", [])) for one in liveries},
        livery or Typed("livery"),
        art or Typed("upload"),
        tuple((str(one.id), one.name) for one in castings),
    )
