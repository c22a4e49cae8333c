"""A build on paper: its sheet, its bench card, and a card to share."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.records.bench_book import BenchBook
from hillbench.records.build_entities import BuildRecord
from hillbench.records.entities import CarRecord
from hillbench.sheets.page import find_page_size
from hillbench.usecases.print_build import (
    draw_bench_card,
    draw_build_sheet,
    draw_social_card,
    pdf_of,
    svg_of,
)
from hillbench.usecases.show_build import show_build
from hillbench.web.answer import show
from hillbench.web.asking import Book, Now, Number, Units
from hillbench.web.page import Page
from hillbench.web.preferences import Preferences
from hillbench.web.sheet_link import WHY_NOT, reached_address, sheet_link

router = APIRouter()

PAPERS: Final = ("A4", "Letter")
PDF: Final = "application/pdf"
SVG: Final = "image/svg+xml"
_PNG: Final = "image/png"


@dataclass(frozen=True)
class BuildPrintsPage(Page):
    """What of a build can be printed and shared.

    Attributes
    ----------
    build, car
        The build and its car.
    paper
        The paper that is chosen.
    paper_mm
        Its width and height, mm, rounded.
    papers
        All papers.
    address
        Address on the code; empty where no phone reaches it.
    why_not
        Why there is no code then.
    """

    template: ClassVar[str] = "builds/prints.html"
    place: ClassVar[str] = "bench"

    build: BuildRecord
    car: CarRecord
    paper: str
    paper_mm: tuple[int, int]
    papers: tuple[str, ...]
    address: str
    why_not: str


@router.get("/builds/{build_id}/prints")
def show_prints(
    request: Request, book: Book, preferences: Units, now: Now, build_id: Number, paper: str = ""
) -> Response:
    """Show what can be printed, with the sheet as it will come out."""
    shown = show_build(book, build_id, now)
    base = reached_address(request)
    chosen = chosen_paper(paper, preferences)
    size = find_page_size(chosen)
    page = BuildPrintsPage(
        build=shown.build,
        car=shown.car,
        paper=chosen,
        paper_mm=(round(size.width_mm), round(size.height_mm)),
        papers=PAPERS,
        address=f"{base}{build_path(build_id)}" if base else "",
        why_not=WHY_NOT,
    )
    return show(request, page)


@router.get("/builds/{build_id}/sheet.pdf")
def send_sheet_pdf(
    request: Request, book: Book, now: Now, build_id: Number, paper: str = "A4"
) -> Response:
    """Send the build sheet as PDF."""
    link = sheet_link(request, build_path(build_id))
    drawing = draw_build_sheet(book, build_id, link, now, paper)
    return sent(pdf_of(drawing), PDF, _name(book, build_id, now, "sheet", "pdf"))


@router.get("/builds/{build_id}/sheet.svg")
def send_sheet_svg(
    request: Request, book: Book, now: Now, build_id: Number, paper: str = "A4"
) -> Response:
    """Send the build sheet as SVG."""
    link = sheet_link(request, build_path(build_id))
    drawing = draw_build_sheet(book, build_id, link, now, paper)
    return sent(svg_of(drawing), SVG, _name(book, build_id, now, "sheet", "svg"))


@router.get("/builds/{build_id}/card.pdf")
def send_card_pdf(
    request: Request, book: Book, now: Now, build_id: Number, paper: str = "A4"
) -> Response:
    """Send the bench card as PDF."""
    link = sheet_link(request, build_path(build_id))
    drawing = draw_bench_card(book, build_id, link, now, paper)
    return sent(pdf_of(drawing), PDF, _name(book, build_id, now, "bench card", "pdf"))


@router.get("/builds/{build_id}/card.svg")
def send_card_svg(
    request: Request, book: Book, now: Now, build_id: Number, paper: str = "A4", page: int = 1
) -> Response:
    """Send one page of the bench card as SVG."""
    link = sheet_link(request, build_path(build_id))
    drawing = draw_bench_card(book, build_id, link, now, paper)
    return sent(svg_of(drawing, page), SVG, _name(book, build_id, now, "bench card", "svg"))


@router.get("/builds/{build_id}/share.png")
def send_social_card(book: Book, now: Now, build_id: Number) -> Response:
    """Send the card to share."""
    picture = draw_social_card(book, build_id, now)
    return sent(picture, _PNG, _name(book, build_id, now, "card", "png"))


def build_path(build_id: int) -> str:
    """Return the path of a build's page."""
    return f"/builds/{build_id}"


def chosen_paper(paper: str, preferences: Preferences) -> str:
    """Return the paper asked for; by default that of those who read inches, or of the rest."""
    if paper in PAPERS:
        return paper
    return "Letter" if preferences.length_unit == "in" else "A4"


def sent(content: bytes, media_type: str, name: str) -> Response:
    """Return a printed file, shown in the browser and saved under a name of its own.

    Parameters
    ----------
    content, media_type
        The file.
    name
        Its name; letters beyond ASCII are left out of it.
    """
    safe = re.sub(r"[^A-Za-z0-9.]+", "-", name).strip("-") or "sheet"
    headers = {
        "content-disposition": f'inline; filename="{safe}"',
        "cache-control": "no-store",
    }
    return Response(content, media_type=media_type, headers=headers)


def _name(book: BenchBook, build_id: int, now: Now, kind: str, ending: str) -> str:
    build = show_build(book, build_id, now).build
    return f"{build.name} {kind}.{ending}"
