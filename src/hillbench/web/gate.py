"""The gate for other devices: who they are, what they may do, how fast."""

from __future__ import annotations

import asyncio
import math
import time
from collections.abc import Callable
from datetime import datetime
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from hillbench.records.errors import BenchBookError
from hillbench.usecases.invite import NotInvited, check_token
from hillbench.web.bench_holder import BenchHolder
from hillbench.web.error_pages import error_page
from hillbench.web.errors import NotAllowed
from hillbench.web.gate_rules import landing, may
from hillbench.web.rate_limit import RateLimit
from hillbench.web.visitor import (
    LINK_COOKIE,
    STRANGER,
    THIS_COMPUTER,
    Visitor,
    is_this_computer,
    set_visitor,
)

HELD_FOR_S: Final = 0.5
"""How long a device that asks too fast waits to be told so, s; its connection takes no more
requests meanwhile, so that turning them away costs next to nothing."""


class Gate:
    """Lets a request of another device through only as far as its invitation goes.

    Parameters
    ----------
    app
        What stands behind the gate.
    seconds
        A clock that only runs forward, s.
    """

    def __init__(self, app: ASGIApp, seconds: Callable[[], float] = time.monotonic) -> None:
        self._app = app
        self._limit = RateLimit(seconds)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request on, or answer it."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        if is_this_computer(scope):
            set_visitor(scope, THIS_COMPUTER)
            await self._app(scope, receive, send)
            return
        wait_s = self._limit.wait_s(scope["client"][0] if scope.get("client") else "")
        if wait_s > 0.0:
            await asyncio.sleep(HELD_FOR_S)
            await _too_fast(wait_s)(scope, receive, send)
            return
        request = Request(scope, receive)
        try:
            visitor = await run_in_threadpool(_visitor, request)
        except BenchBookError as error:
            await error_page(request, error)(scope, receive, send)
            return
        set_visitor(scope, visitor)
        path, method = scope["path"], scope["method"]
        if may(visitor, method, path):
            await self._app(scope, receive, send)
        elif path == "/" and method == "GET" and visitor.role is not None:
            await RedirectResponse(landing(visitor), status_code=303)(scope, receive, send)
        else:
            await error_page(request, NotAllowed(visitor.role))(scope, receive, send)


def _visitor(request: Request) -> Visitor:
    token = request.cookies.get(LINK_COOKIE, "")
    if not token:
        return STRANGER
    holder: BenchHolder = request.app.state.bench
    now: datetime = request.app.state.clock()
    try:
        found = check_token(holder.book, token, now)
    except NotInvited:
        return STRANGER
    return Visitor(found.role, found.meet_id, label=found.label)


def _too_fast(wait_s: float) -> PlainTextResponse:
    return PlainTextResponse(
        "Too many requests from this device: wait a moment.\n",
        status_code=429,
        headers={"retry-after": str(math.ceil(wait_s)), "cache-control": "no-store"},
    )
