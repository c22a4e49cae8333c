"""Print a build: its sheet, its bench card, and a card to share."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from hillbench.errors import InvalidInput, Problem
from hillbench.records.bench_book import BenchBook

if TYPE_CHECKING:
    from hillbench.sheets.drawing import Drawing
    from hillbench.sheets.page_frame import Link


def draw_build_sheet(
    book: BenchBook, build_id: int, link: Link, now: datetime, paper: str
) -> Drawing:
    """Return the sheet of a build on one page.

    Parameters
    ----------
    link
        The page of the build, as a phone reaches it.
    now
        When it is printed.
    paper
        ``A4`` or ``Letter``.

    Raises
    ------
    InvalidInput
        If the paper is not known.
    NotFound
        If there is no such build.
    """
    from hillbench.sheets.build_sheet import build_sheet
    from hillbench.sheets.page import find_page_size
    from hillbench.usecases.gather_build_sheet import gather_build_sheet

    size = find_page_size(paper)
    return build_sheet(gather_build_sheet(book, build_id, link, now), size)


def draw_bench_card(
    book: BenchBook, build_id: int, link: Link, now: datetime, paper: str
) -> Drawing:
    """Return the steps of a build to tick with a pencil; arguments as `draw_build_sheet`."""
    from hillbench.sheets.bench_card import bench_card
    from hillbench.sheets.page import find_page_size
    from hillbench.usecases.gather_build_sheet import gather_bench_card

    size = find_page_size(paper)
    return bench_card(gather_bench_card(book, build_id, link, now), size)


def draw_social_card(book: BenchBook, build_id: int, now: datetime) -> bytes:
    """Return the card to share as PNG; raises `NotFound` if there is no such build."""
    from hillbench.sheets.social_card import social_card
    from hillbench.usecases.gather_build_sheet import gather_social_card

    return social_card(gather_social_card(book, build_id, now))


def pdf_of(drawing: Drawing) -> bytes:
    """Return a drawing as PDF, true to scale."""
    from hillbench.sheets.pdf_writer import write_pdf

    return write_pdf(drawing)


def svg_of(drawing: Drawing, page: int = 1) -> bytes:
    """Return one page of a drawing as SVG, true to scale; raises `InvalidInput` past the last."""
    from hillbench.sheets.svg_writer import write_svg

    if not 1 <= page <= len(drawing.pages):
        raise InvalidInput([Problem("page", f"{page}", f"1 to {len(drawing.pages)}")])
    return write_svg(drawing.pages[page - 1], drawing.title).encode()
