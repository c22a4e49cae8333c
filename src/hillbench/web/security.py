"""Guards in front of the app: host, cross-site posting, size, and what the browser may do.

Notes
-----
A page of another site, open in the same browser, can send requests to this computer. It
cannot read the answers unless it makes its own name point here (DNS rebinding), which the
list of hosts stops; and it cannot change anything, since browsers say where a request comes
from (Fetch Metadata, W3C; Origin, RFC 6454), and what is neither from here nor typed by the
reader is refused. A client that says nothing is no browser and carries no one's session.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from hillbench.web.error_pages import error_page
from hillbench.web.errors import CrossSite, TooLarge, UnknownHost
from hillbench.web.hosts import LOOPBACK_HOSTS as LOOPBACK_HOSTS  # noqa: PLC0414 (its face)
from hillbench.web.hosts import host_name as host_name  # noqa: PLC0414 (its face)

LARGEST_BODY: Final = 25 * 1024 * 1024
"""Bytes; a photo may have 20 MB."""

_SAFE_METHODS: Final = frozenset({"GET", "HEAD", "OPTIONS"})

HEADERS: Final = {
    "content-security-policy": "; ".join(
        (
            "default-src 'none'",
            "script-src 'self'",
            "style-src 'self'",
            "img-src 'self'",
            "font-src 'self'",
            "connect-src 'self'",
            "form-action 'self'",
            "base-uri 'none'",
            "frame-ancestors 'none'",
        )
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
"""Sent with every answer."""


class Guard:
    """Lets a request through to the app only from the right host, site and of a fair size."""

    def __init__(self, app: ASGIApp, allowed_hosts: Collection[str] = LOOPBACK_HOSTS) -> None:
        self._app = app
        self._allowed_hosts = frozenset(host.lower() for host in allowed_hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request on, or answer it with the page of what is wrong with it."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        with_headers = _send_with_headers(send)
        refusal = self._refusal(scope["method"], Headers(scope=scope))
        if refusal is not None:
            response = error_page(Request(scope, receive), refusal)
            await response(scope, receive, with_headers)
            return
        await self._app(scope, _counted(receive), with_headers)

    def _refusal(self, method: str, headers: Headers) -> Exception | None:
        host = headers.get("host", "")
        if host_name(host) not in self._allowed_hosts:
            return UnknownHost(host)
        if method in _SAFE_METHODS:
            return None
        if not _from_here(headers):
            return CrossSite()
        length = headers.get("content-length", "0")
        if length.isdecimal() and int(length) > LARGEST_BODY:
            return TooLarge(int(length), LARGEST_BODY)
        return None


def _from_here(headers: Headers) -> bool:
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site in ("same-origin", "none")
    origin = headers.get("origin")
    if origin is None:
        return True
    return origin.lower() in (
        f"{scheme}://{headers['host'].lower()}" for scheme in ("http", "https")
    )


def _counted(receive: Receive) -> Receive:
    """Return `receive`, stopping a body that grows beyond the limit without having said so."""
    seen = 0

    async def receive_counted() -> Message:
        nonlocal seen
        message = await receive()
        seen += len(message.get("body", b""))
        if seen > LARGEST_BODY:
            raise TooLarge(seen, LARGEST_BODY)
        return message

    return receive_counted


def _send_with_headers(send: Send) -> Send:
    async def send_with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return send_with_headers
