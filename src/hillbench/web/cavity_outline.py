"""The inside of a casting traced on a photo, with both axles as the known points."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import ClassVar, Final, Literal

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.ballast.measured_cavity import MeasuredCavity
from hillbench.ballast.outline import PhotoOutline, outline_problems, place_points
from hillbench.errors import InvalidInput, NotFound, Problem
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import CastingRecord, Kind, Photo
from hillbench.records.photo_store import Subject, list_photos
from hillbench.usecases.keep_cavity import KeptCavity, find_kept_cavity, keep_cavity
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs, upload
from hillbench.web.cavity_pages import CavityPreview, CavityPreviewPage
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.preferences import Preferences
from hillbench.web.typed import Answers, Typed

router = APIRouter(prefix="/castings/{casting_id}/cavity/outline/{view}")

View = Literal["side", "above"]
Points = tuple[tuple[float, ...], ...]

_LABELS: Final = {
    "rear_px": "The rear axle",
    "front_px": "The front axle",
    "points_px": "The line",
    "photo": "The photo",
}
_BREAK: Final = re.compile(r"[;\n]+")
_NUMBER: Final = re.compile(r"-?\d+(?:\.\d+)?")
_PART: Final = "cavity/outline_form.html"
_WAITING: Final = "The picture comes when both axles and the line are marked."


@dataclass(frozen=True, slots=True)
class OutlinePage(Page):
    """A photo on which the inside of a casting is traced.

    Attributes
    ----------
    casting
        The casting.
    view
        ``side`` or ``above``.
    address
        Where the form is sent.
    photos
        Photos of the casting.
    photo
        The one that is traced; None before one is chosen.
    measured
        Whether the readings are there, which give the scale.
    typed
        The form.
    known, corners
        Both axles and the line on the photo, px, as far as they can be read.
    preview
        The cavity with this outline.
    """

    template: ClassVar[str] = "cavity/outline.html"
    place: ClassVar[str] = "cars"

    casting: CastingRecord
    view: str
    address: str
    photos: tuple[Photo, ...]
    photo: Photo | None
    measured: bool
    typed: Typed
    known: Points
    corners: Points
    preview: CavityPreview


@router.get("")
def show_outline(
    request: Request, book: Book, casting_id: Number, view: View, photo: str = ""
) -> Response:
    """Show photos to choose from, or the chosen one with what was traced on it."""
    kept = find_kept_cavity(book, casting_id)
    earlier = kept.measured.outline(view) if kept.measured else None
    typed = Typed.holding("outline", {"photo": photo})
    if earlier is not None and photo in ("", earlier.photo_sha256):
        typed = Typed.holding("outline", _fields(earlier))
    return show(request, _page(book, kept, view, typed))


@router.post("/photo")
def add_outline_photo(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    casting_id: Number,
    view: View,
) -> Response:
    """Keep a photo of the open casting and trace on it."""
    from hillbench.usecases.add_photo import add_photo  # loads the picture library

    answers = Answers("outline", pairs(form), preferences, _LABELS)
    words = "Seen from the side" if view == "side" else "Open, seen from above"
    subject = Subject(Kind.CASTING, casting_id)
    try:
        photo = add_photo(book, subject, upload(form, "photo"), now, caption=words)
    except InvalidInput as wrong:
        kept = find_kept_cavity(book, casting_id)
        return refuse(request, _page(book, kept, view, answers.refused(wrong)))
    to = f"/castings/{casting_id}/cavity/outline/{view}?photo={photo.sha256}"
    return done(request, to, Flash("The photo is kept.", f"/undo/put-away/photo/{photo.id}"))


@router.post("")
def keep_outline(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    casting_id: Number,
    view: View,
) -> Response:
    """Keep the outline with the casting, or show it again."""
    kept = find_kept_cavity(book, casting_id)
    answers = Answers("outline", pairs(form), preferences, _LABELS)
    page = _page(book, kept, view, answers.as_typed)
    if page.photo is None:
        raise NotFound("photo", answers.text("photo"))
    if answers.text("action") != "save":
        return show(request, page, _PART)
    try:
        measured = _with_outline(kept, view, answers)
        note = kept.record.note if kept.record else ""
        record = keep_cavity(book, casting_id, measured, now, note=note)
    except InvalidInput as wrong:
        return refuse(request, _page(book, kept, view, answers.refused(wrong)), _PART)
    flash = Flash("The outline is kept.", f"/undo/put-away/cavity/{record.id}")
    return done(request, f"/castings/{casting_id}/cavity", flash)


@router.post("/preview")
def preview_outline(
    request: Request, book: Book, preferences: Units, form: Form, casting_id: Number, view: View
) -> Response:
    """Show the cavity with what is being traced; nothing is kept."""
    kept = find_kept_cavity(book, casting_id)
    answers = Answers("outline", pairs(form), preferences, _LABELS)
    return show(request, CavityPreviewPage(_preview(kept, view, answers)))


@router.post("/drop")
def drop_outline(
    request: Request, book: Book, now: Now, casting_id: Number, view: View
) -> Response:
    """Go back to the readings."""
    kept = find_kept_cavity(book, casting_id)
    if kept.measured is None or kept.record is None or kept.measured.outline(view) is None:
        raise NotFound("outline", view)
    others = tuple(one for one in kept.measured.outlines if one.view != view)
    measured = replace(kept.measured, outlines=others)
    record = keep_cavity(book, casting_id, measured, now, note=kept.record.note)
    flash = Flash("The readings count again.", f"/undo/put-away/cavity/{record.id}")
    return done(request, f"/castings/{casting_id}/cavity", flash)


def _page(book: BenchBook, kept: KeptCavity, view: str, typed: Typed) -> OutlinePage:
    with book.read() as session:
        photos = list_photos(session, Subject(Kind.CASTING, kept.casting.id))
    chosen = typed.value("photo")
    answers = Answers("outline", typed.pairs, Preferences(), _LABELS)
    known = (*_points(typed.value("rear_px"))[:1], *_points(typed.value("front_px"))[:1])
    return OutlinePage(
        casting=kept.casting,
        view=view,
        address=f"/castings/{kept.casting.id}/cavity/outline/{view}",
        photos=photos,
        photo=next((one for one in photos if one.sha256 == chosen), None),
        measured=kept.measured is not None,
        typed=typed,
        known=known,
        corners=_points(typed.value("points_px")),
        preview=_preview(kept, view, answers),
    )


def _preview(kept: KeptCavity, view: str, answers: Answers) -> CavityPreview:
    if not answers.text("points_px").strip():
        return CavityPreview(_WAITING)
    try:
        return CavityPreview.drawn(_with_outline(kept, view, answers))
    except InvalidInput as wrong:
        told = answers.refused(wrong).problems
        return CavityPreview(_WAITING, problems=tuple(one.sentence for one in told[:4]))


def _with_outline(kept: KeptCavity, view: str, answers: Answers) -> MeasuredCavity:
    """Return the cavity with what was traced; raise `InvalidInput` where that cannot be."""
    if kept.measured is None:
        seen, remedy = "without readings", "keep the readings first"
        raise InvalidInput([Problem("points_px", seen, "a measured wheelbase", remedy)])
    known: list[tuple[float, ...]] = []
    for name in ("rear_px", "front_px"):
        places = _points(answers.text(name))
        if len(places) != 1:
            seen = answers.text(name).strip() or "not marked"
            allowed = "one place, from the left and from the top: 212 480"
            answers.problems.append(Problem(name, seen, allowed, "click it on the photo"))
        known += places[:1]
    answers.require()
    traced = PhotoOutline(
        view, answers.text("photo"), known[0], known[1], _points(answers.text("points_px"))
    )
    problems = [replace(one, where="points_px") for one in outline_problems(traced)]
    if problems:
        raise InvalidInput(problems)
    _require_size(traced, kept.measured)
    others = tuple(one for one in kept.measured.outlines if one.view != view)
    return replace(kept.measured, outlines=(*others, traced))


def _require_size(traced: PhotoOutline, measured: MeasuredCavity) -> None:
    """Raise `InvalidInput` where an outline is no inside of a car."""
    read = measured.readings
    points = place_points(traced, read.wheelbase_mm, read.axle_height_mm)
    if traced.view == "side":
        low = min(z for _, z in points)
        if low <= read.floor_mm:
            seen = f"{low:.1f} mm above the track at its lowest"
            allowed = f"above the floor, which is at {read.floor_mm:g} mm"
            remedy = "trace the underside of body and glass"
            raise InvalidInput([Problem("points_px", seen, allowed, remedy)])
    elif max(y for _, y in points) <= 0.0 or min(y for _, y in points) >= 0.0:
        seen, allowed = "on one side of the axles", "around the middle of the car"
        raise InvalidInput([Problem("points_px", seen, allowed, "mark the middles of the axles")])


def _points(text: str) -> Points:
    """Return places typed as two numbers each, one a line; what is no place is left out."""
    found = [_NUMBER.findall(part) for part in _BREAK.split(text)]
    return tuple((float(one[0]), float(one[1])) for one in found if len(one) == 2)


def _fields(outline: PhotoOutline) -> dict[str, str]:
    def told(places: Points) -> str:
        return "\n".join(f"{x:g} {y:g}" for x, y in places)

    return {
        "photo": outline.photo_sha256,
        "rear_px": told((outline.rear_px,)),
        "front_px": told((outline.front_px,)),
        "points_px": told(outline.points_px),
    }
