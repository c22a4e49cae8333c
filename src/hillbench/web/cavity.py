"""The inside of a casting: begun from a body style, measured over, kept for every sample."""

from __future__ import annotations

from typing import Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.ballast.body_styles import TYPICAL_CAVITIES
from hillbench.ballast.outline import PhotoOutline
from hillbench.errors import InvalidInput
from hillbench.records.bench_book import BenchBook
from hillbench.records.car_store import list_cars
from hillbench.usecases.keep_cavity import KeptCavity, find_kept_cavity, keep_cavity
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.cavity_entry import CavityReader
from hillbench.web.cavity_fields import BLANK, FORM, cavity_fields
from hillbench.web.cavity_pages import (
    BeginCavityPage,
    CavityPage,
    CavityPreview,
    CavityPreviewPage,
    keep_out_rows,
    style_cards,
)
from hillbench.web.flash import Flash
from hillbench.web.form_rows import act_on_rows
from hillbench.web.typed import Typed

router = APIRouter(prefix="/castings/{casting_id}/cavity")

_PART: Final = "cavity/form.html"


@router.get("")
def show_cavity(
    request: Request, book: Book, preferences: Units, casting_id: Number, style: str = ""
) -> Response:
    """Show the inside of a casting, or the body styles to begin from."""
    kept = find_kept_cavity(book, casting_id)
    typical = TYPICAL_CAVITIES.get(style)
    measured = typical or kept.measured
    if measured is None or style == "choose":
        return show(request, BeginCavityPage(kept.casting, style_cards()))
    note = kept.record.note if kept.record and not typical else ""
    typed = Typed(FORM, cavity_fields(measured, note, preferences))
    preview = CavityPreview.drawn(measured)
    return show(request, _page(book, kept, typed, preview, typical=typical is not None))


@router.post("")
def change_cavity(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, casting_id: Number
) -> Response:
    """Keep the readings, or show the form again after one of its other buttons."""
    kept = find_kept_cavity(book, casting_id)
    typed = pairs(form)
    action = Typed(FORM, typed).value("action")
    typed = tuple(pair for pair in typed if pair[0] != "action")
    if action != "save":
        changed = act_on_rows(typed, action, BLANK)
        reader = CavityReader(changed or typed, preferences, _outlines(kept))
        page = _page(
            book,
            kept,
            reader.as_typed,
            CavityPreview.of(reader),
            focus=changed is not None and action.startswith("add"),
        )
        return show(request, page, _PART)
    reader = CavityReader(typed, preferences, _outlines(kept))
    try:
        note = Typed(FORM, typed).value("note")
        record = keep_cavity(book, casting_id, reader.measured(), now, note=note)
    except InvalidInput as wrong:
        again = CavityPreview.of(CavityReader(typed, preferences, _outlines(kept)))
        return refuse(request, _page(book, kept, reader.refused(wrong), again), _PART)
    flash = Flash(
        f"The inside of {kept.casting.name} is kept for every sample of it.",
        f"/undo/put-away/cavity/{record.id}",
    )
    return done(request, f"/castings/{casting_id}/cavity", flash)


@router.post("/preview")
def preview_cavity(
    request: Request, book: Book, preferences: Units, form: Form, casting_id: Number
) -> Response:
    """Show the picture of readings that are being typed; nothing is kept."""
    kept = find_kept_cavity(book, casting_id)
    reader = CavityReader(pairs(form), preferences, _outlines(kept))
    return show(request, CavityPreviewPage(CavityPreview.of(reader)))


def _outlines(kept: KeptCavity) -> tuple[PhotoOutline, ...]:
    return () if kept.measured is None else kept.measured.outlines


def _page(
    book: BenchBook,
    kept: KeptCavity,
    typed: Typed,
    preview: CavityPreview,
    *,
    typical: bool = False,
    focus: bool = False,
) -> CavityPage:
    with book.read() as session:
        cars = tuple(car for car in list_cars(session) if car.casting_id == kept.casting.id)
    return CavityPage(
        casting=kept.casting,
        address=f"/castings/{kept.casting.id}/cavity",
        typical=typical or kept.record is None,
        cavity_id=kept.record.id if kept.record else None,
        earlier=kept.earlier,
        typed=typed,
        preview=preview,
        cars=cars,
        outlined=tuple(one.view for one in _outlines(kept)),
        keep_outs=keep_out_rows(typed),
        focus=focus,
    )
