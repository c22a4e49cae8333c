"""Panels of a casting: listed, measured, changed, or traced on a photo."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput
from hillbench.records import casting_store, decal_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.decal_store import LiveryRecord, PanelRecord
from hillbench.records.entities import CastingRecord
from hillbench.usecases.decal_documents import read_panel
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.decal_panel_form import (
    BLANK,
    CURVATURE_OPTIONS,
    ROLE_OPTIONS,
    holding_panel,
    panel_of,
    refused_panel,
)
from hillbench.web.flash import Flash
from hillbench.web.form_rows import Row, act_on_rows, rows_of
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured
from hillbench.web.preferences import Preferences
from hillbench.web.typed import Typed

router = APIRouter()

Options = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class PanelsPage(Page):
    """All panels of a casting.

    Attributes
    ----------
    casting
        The casting.
    panels
        Its panels.
    picture
        What they look like; None where there are none.
    liveries
        Liveries of the casting.
    """

    template: ClassVar[str] = "decals/panels.html"
    place: ClassVar[str] = "cars"

    casting: CastingRecord
    panels: tuple[PanelRecord, ...]
    picture: Pictured | None
    liveries: tuple[LiveryRecord, ...]


@dataclass(frozen=True)
class PanelPage(Page):
    """The form of one panel.

    Attributes
    ----------
    casting
        Its casting.
    panel_id
        Its number; None for a new one.
    address
        Where the form is sent.
    typed
        The form.
    keep_outs
        Rows of what is left free.
    roles, curvatures
        What can be chosen.
    """

    template: ClassVar[str] = "decals/panel.html"
    place: ClassVar[str] = "cars"

    casting: CastingRecord
    panel_id: int | None
    address: str
    typed: Typed
    keep_outs: tuple[Row, ...]
    roles: Options
    curvatures: Options


@router.get("/castings/{casting_id}/panels")
def show_panels(request: Request, book: Book, casting_id: Number) -> Response:
    """Show the panels of a casting."""
    with book.read() as session:
        casting = casting_store.find_casting(session, casting_id)
        panels = decal_store.list_panels(session, casting_id)
        liveries = decal_store.list_liveries(session, casting_id=casting_id)
    return show(request, PanelsPage(casting, panels, _picture(panels), liveries))


@router.get("/castings/{casting_id}/panels/new")
def show_new_panel(
    request: Request, book: Book, preferences: Units, casting_id: Number, role: str = ""
) -> Response:
    """Show the form of a new panel."""
    typed = holding_panel(None, preferences, role=role)
    return show(request, _form_page(book, casting_id, None, typed))


@router.post("/castings/{casting_id}/panels/new")
def add_panel(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, casting_id: Number
) -> Response:
    """Keep a new panel."""
    return _keep(request, book, preferences, now, pairs(form), casting_id, None)


@router.get("/panels/{panel_id}")
def show_panel(request: Request, book: Book, preferences: Units, panel_id: Number) -> Response:
    """Show the form of a panel."""
    with book.read() as session:
        record = decal_store.find_panel(session, panel_id)
    typed = holding_panel(read_panel(record.panel), preferences)
    return show(request, _form_page(book, record.casting_id, panel_id, typed))


@router.post("/panels/{panel_id}")
def change_panel(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, panel_id: Number
) -> Response:
    """Keep a changed panel."""
    with book.read() as session:
        record = decal_store.find_panel(session, panel_id)
    return _keep(request, book, preferences, now, pairs(form), record.casting_id, panel_id)


def _keep(
    request: Request,
    book: BenchBook,
    preferences: Preferences,
    now: Now,
    typed: tuple[tuple[str, str], ...],
    casting_id: int,
    panel_id: int | None,
) -> Response:
    from hillbench.usecases.save_panel import save_panel

    action = Typed("panel", typed).value("action")
    changed = act_on_rows(typed, action, {"keep": BLANK})
    if changed is not None:
        return show(request, _form_page(book, casting_id, panel_id, Typed("panel", changed)))
    try:
        panel = panel_of(typed, preferences)
        save_panel(book, casting_id, panel, now, panel_id=panel_id)
    except InvalidInput as wrong:
        refused = refused_panel(typed, preferences, wrong)
        return refuse(request, _form_page(book, casting_id, panel_id, refused))
    return done(
        request, f"/castings/{casting_id}/panels", Flash(f"The {panel.name.strip()} is kept.")
    )


def _form_page(book: BenchBook, casting_id: int, panel_id: int | None, typed: Typed) -> PanelPage:
    with book.read() as session:
        casting = casting_store.find_casting(session, casting_id)
    new = f"/castings/{casting_id}/panels/new"
    rows = tuple(rows_of(typed.pairs, "keep"))
    address = new if panel_id is None else f"/panels/{panel_id}"
    return PanelPage(casting, panel_id, address, typed, rows, ROLE_OPTIONS, CURVATURE_OPTIONS)


def _picture(panels: tuple[PanelRecord, ...]) -> Pictured | None:
    from hillbench.web.decal_pictures import panels_shown

    return panels_shown([read_panel(one.panel) for one in panels]) if panels else None
