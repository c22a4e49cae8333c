"""Errors as pages: which status each has, and one clear sentence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import ClassVar, Final

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from hillbench.errors import HillbenchError, InvalidInput, NotFound
from hillbench.records.errors import BenchBookError, BusyBenchBook, DiskFull, ReadOnlyBenchBook
from hillbench.usecases.invite import NotInvited
from hillbench.usecases.write_journal import MeetChanged
from hillbench.web.errors import CrossSite, NotAllowed, TooLarge, UnknownHost
from hillbench.web.page import Page, render

STATUSES: Final[tuple[tuple[type[Exception], HTTPStatus], ...]] = (
    (NotFound, HTTPStatus.NOT_FOUND),
    (InvalidInput, HTTPStatus.UNPROCESSABLE_ENTITY),
    (CrossSite, HTTPStatus.FORBIDDEN),
    (NotAllowed, HTTPStatus.FORBIDDEN),
    (NotInvited, HTTPStatus.FORBIDDEN),
    (MeetChanged, HTTPStatus.CONFLICT),
    (UnknownHost, HTTPStatus.MISDIRECTED_REQUEST),
    (TooLarge, HTTPStatus.REQUEST_ENTITY_TOO_LARGE),
    (ReadOnlyBenchBook, HTTPStatus.FORBIDDEN),
    (BusyBenchBook, HTTPStatus.SERVICE_UNAVAILABLE),
    (DiskFull, HTTPStatus.INSUFFICIENT_STORAGE),
    (BenchBookError, HTTPStatus.INTERNAL_SERVER_ERROR),
    (HillbenchError, HTTPStatus.BAD_REQUEST),
)
"""Status of each class of expected error; the first that fits counts."""

_HEADINGS: Final[Mapping[int, str]] = {
    400: "That request could not be read",
    403: "Not from here",
    404: "Nothing at this address",
    405: "That cannot be done here",
    409: "Someone was faster",
    413: "Too large",
    421: "Another address, please",
    422: "That cannot be used as it is",
    500: "Something broke in the app",
    503: "Busy for a moment",
    507: "The disk is full",
}
_SENTENCES: Final[Mapping[int, str]] = {
    400: "The form did not arrive whole: go back and send it again.",
    404: "There is no page here: it may have been moved, or the address has a slip in it.",
    405: "This address does not take that kind of request: go back and use the page's buttons.",
    500: "Nothing you had saved is lost: the details stand in the window the app was started from.",
}
_OTHER_SENTENCE: Final = "The app could not do what was asked."


@dataclass(frozen=True, slots=True)
class ErrorPage(Page):
    """A page that says what went wrong.

    Attributes
    ----------
    status
        HTTP status.
    heading
        What kind of thing went wrong, in a few words.
    sentences
        What went wrong and what to do, each one sentence.
    """

    template: ClassVar[str] = "error.html"

    status: int
    heading: str
    sentences: tuple[str, ...]


def status_of(error: Exception) -> int:
    """Return the HTTP status of an error; 500 for one that nobody expected."""
    if isinstance(error, HTTPException):
        return error.status_code
    return next(
        (status.value for kind, status in STATUSES if isinstance(error, kind)),
        HTTPStatus.INTERNAL_SERVER_ERROR.value,
    )


def error_page(request: Request, error: Exception) -> Response:
    """Return the page of an error."""
    status = status_of(error)
    page = ErrorPage(
        status=status,
        heading=_HEADINGS.get(status, "That did not work"),
        sentences=_sentences(error, status),
    )
    headers = getattr(error, "headers", None)
    return HTMLResponse(render(request, page), status_code=status, headers=headers)


def _sentences(error: Exception, status: int) -> tuple[str, ...]:
    if isinstance(error, InvalidInput):
        return tuple(problem.sentence() for problem in error.problems)
    if isinstance(error, HillbenchError):
        return (str(error),)
    return (_SENTENCES.get(status, _OTHER_SENTENCE),)
