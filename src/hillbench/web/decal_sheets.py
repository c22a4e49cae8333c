"""The sheet of a livery: how it is laid out, files to print and cut, film from the drawer."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.decals.sheet_size import SheetSize
from hillbench.errors import InvalidInput, NotFound, Problem
from hillbench.records import drawer_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.drawer_entities import DrawerItem, ItemKind
from hillbench.usecases.decal_question import DecalQuestion, check_decal_question
from hillbench.usecases.plan_decals import DecalPlan
from hillbench.usecases.show_livery import LiveryView, plan_livery, show_livery
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

Options = tuple[tuple[str, str], ...]

_LENGTHS: Final = {
    "width_mm": "The width of the sheet",
    "height_mm": "The height of the sheet",
    "margin_mm": "The margin",
    "gap_mm": "The gap round the print",
    "corner_radius_mm": "The corner radius",
    "piece_gap_mm": "The gap between pieces",
}
_LABELS: Final = {**_LENGTHS, "most_sheets": "The number of sheets"}
TURNS: Final[Options] = (
    ("none", "no: the grain of the film is fixed"),
    ("quarter", "by quarter turns"),
    ("any", "by any angle that saves room"),
)
CUTTING: Final[Options] = (
    ("scissors", "scissors: print the cut line"),
    ("plotter", "a plotter: leave it to the knife"),
)


@dataclass(frozen=True)
class DecalSheetPage(Page):
    """The sheets of a livery.

    Attributes
    ----------
    view
        The livery.
    sentence
        How many sheets, and whether fewer could do.
    problems
        Why there is no sheet; empty where there is.
    pictures
        Each sheet.
    sheets
        Numbers of the sheets, from 1.
    films
        Film in the drawer.
    setting, film
        The forms.
    turns, cutting
        What can be chosen.
    """

    template: ClassVar[str] = "decals/sheet.html"
    place: ClassVar[str] = "cars"

    view: LiveryView
    sentence: str
    problems: tuple[str, ...]
    pictures: tuple[Pictured, ...]
    sheets: tuple[int, ...]
    films: tuple[DrawerItem, ...]
    setting: Typed
    film: Typed
    turns: Options
    cutting: Options


@router.get("/decals/{livery_id}/sheet")
def show_sheet(request: Request, book: Book, preferences: Units, livery_id: Number) -> Response:
    """Show the sheets of a livery."""
    return show(request, _page(book, show_livery(book, livery_id), preferences))


@router.post("/decals/{livery_id}/sheet")
def change_sheet(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, livery_id: Number
) -> Response:
    """Keep another paper or other gaps."""
    from hillbench.usecases.save_livery import change_livery

    answers = Answers("setting", pairs(form), preferences, _LABELS)
    view = show_livery(book, livery_id)
    try:
        changed = _changed(answers, view.question)
        change_livery(book, view, changed, now)
    except InvalidInput as wrong:
        return refuse(request, _page(book, view, preferences, setting=answers.refused(wrong)))
    return done(request, f"/decals/{livery_id}/sheet", Flash("The sheet is laid out anew."))


@router.post("/decals/{livery_id}/printed")
def draw_film(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, livery_id: Number
) -> Response:
    """Take printed sheets of film out of the drawer."""
    labels = {"item_id": "The film", "sheets": "The number of sheets"}
    answers = Answers("film", pairs(form), preferences, labels)
    view = show_livery(book, livery_id)
    count = answers.quantity("sheets", units.NUMBER)
    item = answers.text("item_id")
    if not item.isdecimal():
        answers.problems.append(Problem("item_id", repr(item), "a film of the drawer"))
    try:
        answers.require()
        with book.write() as session:
            note = f"Printed: {view.record.name}"
            drawer_store.draw(session, int(item), count or 0.0, now, note=note)
    except InvalidInput as wrong:
        return refuse(request, _page(book, view, preferences, film=answers.refused(wrong)))
    return done(request, f"/decals/{livery_id}/sheet", Flash("Taken out of the drawer."))


@router.get("/decals/{livery_id}/sheet.pdf")
def send_pdf(book: Book, livery_id: Number) -> Response:
    """Send all pages as one PDF in true size."""
    from hillbench.usecases.print_decals import sheet_pdf

    plan = plan_livery(show_livery(book, livery_id))
    return _file(plan, sheet_pdf(plan), "application/pdf", ".pdf")


@router.get("/decals/{livery_id}/sheet-{number}.svg")
def send_svg(book: Book, livery_id: Number, number: Number) -> Response:
    """Send the print of one sheet as SVG in true size."""
    from hillbench.usecases.print_decals import print_svg

    return _numbered(book, livery_id, number, print_svg, "image/svg+xml", ".svg")


@router.get("/decals/{livery_id}/cut-{number}.svg")
def send_cut_svg(book: Book, livery_id: Number, number: Number) -> Response:
    """Send the cut lines of one sheet as SVG."""
    from hillbench.usecases.print_decals import cut_svg

    return _numbered(book, livery_id, number, cut_svg, "image/svg+xml", "-cut.svg")


@router.get("/decals/{livery_id}/cut-{number}.dxf")
def send_cut_dxf(book: Book, livery_id: Number, number: Number) -> Response:
    """Send the cut lines of one sheet as DXF."""
    from hillbench.usecases.print_decals import cut_dxf_of

    return _numbered(book, livery_id, number, cut_dxf_of, "image/vnd.dxf", "-cut.dxf")


def _numbered(
    book: BenchBook,
    livery_id: int,
    number: int,
    write: Callable[[DecalPlan, int], str],
    media_type: str,
    ending: str,
) -> Response:
    plan = plan_livery(show_livery(book, livery_id))
    if number > plan.nesting.sheets:
        raise NotFound("sheet", number)
    return _file(plan, write(plan, number - 1).encode(), media_type, f"-{number}{ending}")


def _file(plan: DecalPlan, content: bytes, media_type: str, ending: str) -> Response:
    from hillbench.sheets.decal_sheet import file_stem

    name = f"{file_stem(plan.question.title)}{ending}"
    headers = {"content-disposition": f'attachment; filename="{name}"', "cache-control": "no-store"}
    return Response(content, media_type=media_type, headers=headers)


def _changed(answers: Answers, old: DecalQuestion) -> DecalQuestion:
    read = {name: answers.quantity(name, units.LENGTH) for name in _LENGTHS}
    most = answers.quantity("most_sheets", units.NUMBER, required=False)
    turns = answers.choice("turns", [value for value, _ in TURNS])
    cutting = answers.choice("cutting", [value for value, _ in CUTTING])
    answers.require()
    lengths = {name: value or 0.0 for name, value in read.items()}
    margin_mm = lengths["margin_mm"]
    sheet = SheetSize(lengths["width_mm"], lengths["height_mm"], *([margin_mm] * 4))
    changed = dataclasses.replace(
        old,
        sheet=sheet,
        gap_mm=lengths["gap_mm"],
        corner_radius_mm=lengths["corner_radius_mm"],
        piece_gap_mm=lengths["piece_gap_mm"],
        turns=turns,
        cutting=cutting,
        mirrored_page=answers.text("mirrored_page") == "yes",
        most_sheets=None if most is None else round(most),
    )
    if changed.items:
        check_decal_question(changed)
    return changed


def _page(
    book: BenchBook,
    view: LiveryView,
    preferences: Preferences,
    *,
    setting: Typed | None = None,
    film: Typed | None = None,
) -> DecalSheetPage:
    from hillbench.usecases.tell_decals import tell_sheets
    from hillbench.web.decal_pictures import sheets_shown

    with book.read() as session:
        films = drawer_store.list_items(session, ItemKind.FILM)
    sentence, problems = "There is nothing to print yet.", view.problems
    pictures: tuple[Pictured, ...] = ()
    if view.question.items and not problems:
        try:
            plan = plan_livery(view)
            sentence, pictures = tell_sheets(plan), sheets_shown(plan, art_urls(book))
        except InvalidInput as wrong:
            problems = tuple(problem.sentence() for problem in wrong.problems)
            sentence = "It cannot be laid out as it is."
    count = len(pictures)
    return DecalSheetPage(
        view,
        sentence,
        problems,
        pictures,
        tuple(range(1, count + 1)),
        films,
        setting or _holding(view.question, preferences),
        film or Typed.holding("film", {"sheets": str(count or 1)}),
        TURNS,
        CUTTING,
    )


def _holding(question: DecalQuestion, preferences: Preferences) -> Typed:
    def length(value: float) -> str:
        return typed_again(value, units.LENGTH, preferences.length_unit)

    sheet = question.sheet
    values = {
        "width_mm": length(sheet.width_mm),
        "height_mm": length(sheet.height_mm),
        "margin_mm": length(sheet.margin_left_mm),
        "gap_mm": length(question.gap_mm),
        "corner_radius_mm": length(question.corner_radius_mm),
        "piece_gap_mm": length(question.piece_gap_mm),
        "turns": question.turns,
        "cutting": question.cutting,
        "mirrored_page": "yes" if question.mirrored_page else "",
        "most_sheets": "" if question.most_sheets is None else str(question.most_sheets),
    }
    return Typed.holding("setting", values)
