"""The address of a page as a phone in the same network reaches it, for the code on a sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from starlette.requests import Request

from hillbench.web.qr import outward_address
from hillbench.web.security import LOOPBACK_HOSTS, host_name

if TYPE_CHECKING:
    from hillbench.sheets.page_frame import Link

WHY_NOT: Final = (
    "No code: this Hillbench is reached from its own computer only. Started with"
    " --local-network, it prints a code that a phone opens."
)
"""Stands on a sheet, and on the page it is printed from, in the place of a code."""


def reached_address(request: Request) -> str:
    """Return the address other devices reach the app at, without a path; empty for none.

    The address the reader used counts, where it is none of those that mean "this computer";
    else the first address in the network to which the app was opened when it started.
    """
    if host_name(request.headers["host"]) not in LOOPBACK_HOSTS:
        return f"{request.url.scheme}://{request.headers['host']}"
    return outward_address(request) if request.app.state.reachable else ""


def sheet_link(request: Request, path: str) -> Link:
    """Return the link to a page, or why there is none.

    Parameters
    ----------
    request
        The request for the sheet.
    path
        Path of the page.
    """
    from hillbench.sheets.page_frame import Link

    base = reached_address(request)
    return Link(f"{base}{path}") if base else Link("", WHY_NOT)
