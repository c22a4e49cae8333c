"""What was just done, told once on the next page, with a way to undo it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from urllib.parse import parse_qsl, urlencode

from starlette.requests import Request
from starlette.responses import Response

COOKIE: Final = "hillbench_flash"
_KEPT_FOR_S: Final = 60
_LONGEST: Final = 300
_UNDO_PREFIX: Final = "/undo/"


@dataclass(frozen=True, slots=True)
class Flash:
    """One sentence about what was done.

    Attributes
    ----------
    sentence
        What was done.
    undo
        Address to post to in order to undo it, below ``/undo/``; empty where there is none.
    """

    sentence: str
    undo: str = ""


def leave_flash(response: Response, flash: Flash) -> None:
    """Leave a message for the page that the response leads to."""
    sentence = flash.sentence
    if len(sentence) > _LONGEST:
        sentence = f"{sentence[: _LONGEST - 1]}…"
    response.set_cookie(
        COOKIE,
        urlencode({"sentence": sentence, "undo": flash.undo}),
        max_age=_KEPT_FOR_S,
        httponly=True,
        samesite="strict",
    )


def waiting_flash(request: Request) -> Flash | None:
    """Return the message left by the request before, None where there is none."""
    values = dict(parse_qsl(request.cookies.get(COOKIE, "")))
    if not values.get("sentence"):
        return None
    undo = values.get("undo", "")
    # A cookie can be written by anything on this host: no other address is ever offered.
    return Flash(values["sentence"][:_LONGEST], undo if undo.startswith(_UNDO_PREFIX) else "")


def drop_flash(request: Request, response: Response) -> None:
    """Forget the message once it was shown."""
    if COOKIE in request.cookies:
        response.delete_cookie(COOKIE, httponly=True, samesite="strict")
