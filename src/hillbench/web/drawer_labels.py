"""Labels for the drawer: chosen on a page, printed on sheets or on a label printer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, ClassVar, Final

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from hillbench.records.drawer_entities import DrawerItem
from hillbench.usecases.list_drawer import list_drawer
from hillbench.usecases.print_build import pdf_of, svg_of
from hillbench.usecases.print_labels import LABEL_PAPER, draw_labels
from hillbench.web.answer import show
from hillbench.web.asking import Book, Units
from hillbench.web.build_prints import PAPERS, PDF, SVG, chosen_paper, sent
from hillbench.web.page import Page
from hillbench.web.sheet_link import WHY_NOT, reached_address

router = APIRouter()

_PAPERS: Final = (*((name, name) for name in PAPERS), (LABEL_PAPER, "label printer, 62 × 29 mm"))
_MOST: Final = 500

Items = Annotated[tuple[int, ...], Query(max_length=_MOST)]
"""Numbers of items; a longer list leads nowhere."""


@dataclass(frozen=True)
class LabelsOfDrawerPage(Page):
    """Which labels to print, and on what.

    Attributes
    ----------
    items
        What is in the drawer.
    chosen
        Numbers of the items whose labels are wanted; empty for all.
    paper
        The paper that is chosen.
    papers
        All papers: value and words.
    address
        Address at which a phone reaches the app; empty where it cannot.
    why_not
        Why there is no code then.
    """

    template: ClassVar[str] = "drawer/labels.html"
    place: ClassVar[str] = "drawer"

    items: tuple[DrawerItem, ...]
    chosen: tuple[int, ...]
    paper: str
    papers: tuple[tuple[str, str], ...]
    address: str
    why_not: str


@router.get("/drawer/labels")
def show_labels_page(
    request: Request, book: Book, preferences: Units, item: Items = (), paper: str = ""
) -> Response:
    """Show which labels can be printed."""
    known = paper if paper == LABEL_PAPER else chosen_paper(paper, preferences)
    items = list_drawer(book).items
    address = reached_address(request)
    page = LabelsOfDrawerPage(items, item, known, _PAPERS, address, WHY_NOT)
    return show(request, page)


@router.get("/drawer/labels.pdf")
def send_labels(request: Request, book: Book, item: Items = (), paper: str = "A4") -> Response:
    """Send labels as PDF, those of all items where none is named."""
    drawing = draw_labels(book, item, _address_of(request), paper)
    return sent(pdf_of(drawing), PDF, "drawer labels.pdf")


@router.get("/drawer/labels.svg")
def send_labels_svg(
    request: Request,
    book: Book,
    item: Items = (),
    paper: str = "A4",
    page: int = 1,
) -> Response:
    """Send one page of labels as SVG."""
    drawing = draw_labels(book, item, _address_of(request), paper)
    return sent(svg_of(drawing, page), SVG, "drawer labels.svg")


def _address_of(request: Request) -> Callable[[int], str]:
    base = reached_address(request)

    def address(item_id: int) -> str:
        return f"{base}/drawer/{item_id}" if base else ""

    return address
