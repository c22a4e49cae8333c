"""A meet on paper: heats by lane, results, certificates."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.usecases.print_build import pdf_of, svg_of
from hillbench.usecases.print_meet import draw_certificates, draw_heats, draw_results
from hillbench.web.asking import Book, Now, Number
from hillbench.web.build_prints import PDF, SVG, sent
from hillbench.web.meet_frame import meet_view, reader_of
from hillbench.web.sheet_link import sheet_link

router = APIRouter()


@router.get("/meets/{meet_id}/heats/print/heats.pdf")
def send_heats(
    request: Request, book: Book, now: Now, meet_id: Number, paper: str = "A4"
) -> Response:
    """Send the heats by lane as PDF."""
    view = meet_view(request, book, meet_id)
    drawing = draw_heats(view, sheet_link(request, f"/meets/{meet_id}/board"), now, paper)
    return sent(pdf_of(drawing), PDF, f"{view.meet.name} heats.pdf")


@router.get("/meets/{meet_id}/results/print/results.pdf")
def send_results(
    request: Request, book: Book, now: Now, meet_id: Number, paper: str = "A4"
) -> Response:
    """Send the results as PDF."""
    view = meet_view(request, book, meet_id)
    results = reader_of(request).results(book, view)
    link = sheet_link(request, f"/meets/{meet_id}/results")
    drawing = draw_results(view, results, link, now, paper)
    return sent(pdf_of(drawing), PDF, f"{view.meet.name} results.pdf")


@router.get("/meets/{meet_id}/results/print/results.svg")
def send_results_svg(
    request: Request, book: Book, now: Now, meet_id: Number, paper: str = "A4", page: int = 1
) -> Response:
    """Send one page of the results as SVG."""
    view = meet_view(request, book, meet_id)
    results = reader_of(request).results(book, view)
    link = sheet_link(request, f"/meets/{meet_id}/results")
    drawing = draw_results(view, results, link, now, paper)
    return sent(svg_of(drawing, page), SVG, f"{view.meet.name} results.svg")


@router.get("/meets/{meet_id}/results/print/certificates.pdf")
def send_certificates(request: Request, book: Book, meet_id: Number, paper: str = "A4") -> Response:
    """Send certificates for the first three places and the fastest run as PDF."""
    view = meet_view(request, book, meet_id)
    drawing = draw_certificates(view, reader_of(request).results(book, view), paper)
    return sent(pdf_of(drawing), PDF, f"{view.meet.name} certificates.pdf")
