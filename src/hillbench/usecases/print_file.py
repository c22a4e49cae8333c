"""Print something of the bench book into a file, as it is asked for by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Final
from urllib.parse import urlsplit

from hillbench.errors import InvalidInput, Problem
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.print_build import (
    draw_bench_card,
    draw_build_sheet,
    draw_social_card,
    pdf_of,
    svg_of,
)
from hillbench.usecases.print_labels import draw_labels
from hillbench.usecases.print_meet import draw_certificates, draw_heats, draw_results
from hillbench.usecases.read_meet import MeetView, read_meet
from hillbench.usecases.tell_results import tell_results

if TYPE_CHECKING:
    from hillbench.sheets.drawing import Drawing
    from hillbench.sheets.page_frame import Link

ENDINGS: Final[Mapping[str, tuple[str, ...]]] = {
    "build-sheet": (".pdf", ".svg"),
    "bench-card": (".pdf", ".svg"),
    "labels": (".pdf", ".svg"),
    "share-card": (".png",),
    "heat-sheet": (".pdf", ".svg"),
    "results": (".pdf", ".svg"),
    "certificates": (".pdf", ".svg"),
}
"""What can be printed, and the endings of the files it can be printed into."""

_OF_A_MEET: Final = {"heat-sheet": "board", "results": "results", "certificates": "results"}
"""Sheets of a meet, and the page that the code on each leads to."""

NO_ADDRESS: Final = "No code: printed without the address of a running Hillbench (--address)."
"""Stands on a sheet in the place of a code."""


@dataclass(frozen=True, slots=True)
class PrintQuestion:
    """What is to be printed.

    Attributes
    ----------
    what
        One of `ENDINGS`.
    numbers
        The build, the meet, or the items of the drawer; of labels none means all.
    ending
        Of the file, with its dot.
    paper
        ``A4``, ``Letter``, or of labels ``label``.
    page
        Which page an SVG holds, from 1.
    address
        Of the app as phones reach it, for the codes; empty for none.
    """

    what: str
    numbers: tuple[int, ...]
    ending: str
    paper: str = "A4"
    page: int = 1
    address: str = ""


def print_file(book: BenchBook, question: PrintQuestion, now: datetime) -> bytes:
    """Return the file.

    Raises
    ------
    InvalidInput
        If something asked for is not known.
    NotFound
        If there is no such build, meet or item.
    """
    _check(question)
    if question.what == "share-card":
        return draw_social_card(book, question.numbers[0], now)
    drawing = _drawn(book, question, now)
    return pdf_of(drawing) if question.ending == ".pdf" else svg_of(drawing, question.page)


def _drawn(book: BenchBook, question: PrintQuestion, now: datetime) -> Drawing:
    from hillbench.sheets.page_frame import Link

    base = question.address.rstrip("/")
    if question.what == "labels":
        address = _addresses(base)
        return draw_labels(book, question.numbers, address, question.paper)
    number = question.numbers[0]
    if question.what in _OF_A_MEET:
        path = f"/meets/{number}/{_OF_A_MEET[question.what]}"
        link = Link(base + path) if base else Link("", NO_ADDRESS)
        return _of_a_meet(read_meet(book, number), question, link, now)
    link = Link(f"{base}/builds/{number}") if base else Link("", NO_ADDRESS)
    draw = draw_build_sheet if question.what == "build-sheet" else draw_bench_card
    return draw(book, number, link, now, question.paper)


def _of_a_meet(view: MeetView, question: PrintQuestion, link: Link, now: datetime) -> Drawing:
    if question.what == "heat-sheet":
        return draw_heats(view, link, now, question.paper)
    results = tell_results(view)
    if question.what == "results":
        return draw_results(view, results, link, now, question.paper)
    return draw_certificates(view, results, question.paper)


def _addresses(base: str) -> Callable[[int], str]:
    return lambda item_id: f"{base}/drawer/{item_id}" if base else ""


def _check(question: PrintQuestion) -> None:
    problems = []
    known = ENDINGS.get(question.what)
    if known is None:
        problems.append(Problem("what", repr(question.what), "one of: " + ", ".join(ENDINGS)))
    elif question.ending not in known:
        seen, allowed = question.ending or "no ending", "a name ending in " + " or ".join(known)
        problems.append(Problem("out", seen, allowed))
    if question.what != "labels" and len(question.numbers) != 1:
        seen = f"{len(question.numbers)} numbers"
        allowed = "the number of one build or meet, as in its address"
        problems.append(Problem("number", seen, allowed))
    if question.address and not _is_address(question.address):
        allowed = "an address such as http://192.168.1.23:8064"
        problems.append(Problem("address", repr(question.address), allowed))
    if problems:
        raise InvalidInput(problems)


def _is_address(text: str) -> bool:
    try:
        parts = urlsplit(text)
    except ValueError:
        return False
    return parts.scheme in ("http", "https") and bool(parts.hostname)
