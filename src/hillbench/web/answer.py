"""The one place that decides between a page, a redirect and a fragment for htmx."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from hillbench.web.flash import Flash, drop_flash, leave_flash
from hillbench.web.page import Page, render

UNPROCESSABLE: Final = 422
_MESSAGES: Final = "parts/messages.html"


def show(request: Request, page: Page, part: str = "") -> Response:
    """Return a page; where htmx asks and the page has such a part, only that part.

    Parameters
    ----------
    request
        The request that is being answered.
    page
        The page.
    part
        Template of the part that htmx wants in its stead.
    """
    if part and by_htmx(request):
        return _fragment(render(request, page, part))
    response = HTMLResponse(render(request, page), headers={"cache-control": "no-store"})
    if part:
        response.headers["vary"] = "HX-Request"
    drop_flash(request, response)
    return response


def done(
    request: Request,
    to: str,
    flash: Flash,
    page: Callable[[], Page] | None = None,
    part: str = "",
) -> Response:
    """Return the answer to a change that was made.

    Parameters
    ----------
    request
        The request that made it.
    to
        Where a browser without script is sent (303), and one with htmx that gave no part.
    flash
        What was done.
    page, part
        The page as it is now and the template of its part that changed; htmx gets this part
        with the message beside it.
    """
    if by_htmx(request):
        if page is not None and part:
            fresh = page()
            messages = render(request, fresh, _MESSAGES, flash)
            return _fragment(render(request, fresh, part) + messages)
        response: Response = Response(status_code=204, headers={"HX-Redirect": to})
    else:
        response = RedirectResponse(to, status_code=303)
    leave_flash(response, flash)
    return response


def refuse(request: Request, page: Page, part: str = "") -> Response:
    """Return a page whose form could not be used, with all that was typed (422)."""
    if part and by_htmx(request):
        return _fragment(render(request, page, part), UNPROCESSABLE)
    return HTMLResponse(
        render(request, page), status_code=UNPROCESSABLE, headers={"cache-control": "no-store"}
    )


def by_htmx(request: Request) -> bool:
    """Return whether htmx sent the request and will put the answer into the page."""
    return request.headers.get("hx-request") == "true"


def _fragment(html: str, status: int = 200) -> Response:
    return HTMLResponse(
        html, status_code=status, headers={"cache-control": "no-store", "vary": "HX-Request"}
    )
