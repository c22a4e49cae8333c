"""Everybody who may send a request, and a watch on what each of them changes."""

from __future__ import annotations

import sqlite3
import warnings
from collections import Counter
from collections.abc import Mapping
from itertools import count
from typing import Any, Final, Self

import httpx
from sqlalchemy import select
from starlette.types import ASGIApp, Receive, Scope, Send

from hillbench.racing.meet_event import EventKind
from hillbench.records.bench_book import BenchBook
from hillbench.records.role import Role
from hillbench.records.tables import Base
from hillbench.usecases.invite import invite
from hillbench.web.app import create_app
from hillbench.web.visitor import LINK_COOKIE
from tests.web.conftest import BASE, NOW
from tests.web.html_check import html_faults
from tests.web.strange_requests import Strange

with warnings.catch_warnings():
    # Starlette is moving its test client to another HTTP library; ours works with both.
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

HERE: Final = "this computer"
STRANGER: Final = "stranger"
ROLES: Final = tuple(str(role) for role in Role)
"""Invited to one meet."""

MAY_WRITE: Final[Mapping[str, frozenset[str]]] = {
    "scrutiny": frozenset({"scrutiny", "received", "sent back"}),
    "clock": frozenset(
        {
            *("started", "false start", "times", "corrected", "rerun", "undone"),
            *("absent", "present", "drawn", "protest", "ruling", "closed", "reopened"),
        }
    ),
    "director": frozenset(str(kind) for kind in EventKind),
}
"""What the roles may write in the journal of their meet, as the guide says; the others nothing."""

_MAY_CHANGE: Final[Mapping[str, frozenset[str]]] = {
    "scrutiny": frozenset({"meet_event", "scrutiny_photo"}),
    "clock": frozenset({"meet_event"}),
    "director": frozenset(
        {"meet", "meet_event", "scrutiny_photo", "invitation", "outing", "run", "track_version"}
    ),
}
"""Tables; the times of a meet may be kept with the cars of the bench by its director."""


_WORKED_OUT: Final = frozenset({"fit_result", "build"})
"""Tables in which what a page shows is kept once it is worked out."""


class _FromAfar:
    """Gives each request an address of its own, so that no device asks too fast."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        self._number = count()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and (scope["client"] or ("",))[0] == "far":
            number = next(self._number)
            scope["client"] = (f"10.{number >> 16}.{number >> 8 & 255}.{number & 255}", 50000)
        await self._app(scope, receive, send)


class Visitors:
    """All who may send requests to the app on a bench book.

    Parameters
    ----------
    book
        The bench book; it is a file.
    meet_id
        The meet that roles are invited to.
    """

    def __init__(self, book: BenchBook, meet_id: int) -> None:
        self._book = book
        self._meet_id = meet_id
        self._tokens = {
            str(role): invite(book, role, f"for {role}", NOW, meet_id=meet_id)[1] for role in Role
        }
        app = _FromAfar(create_app(book, clock=lambda: NOW))
        self._here, self._far = (
            TestClient(app, base_url=BASE, follow_redirects=False, client=(address, 50000))
            for address in ("127.0.0.1", "far")
        )
        self._watch = sqlite3.connect(book.folder / "bench.db")
        self._version = self._read_version()
        self._rows = self._read_rows()
        self.statuses: Counter[tuple[str, int]] = Counter()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._watch.close()

    def send(self, who: str, request: Strange) -> httpx.Response:
        """Send a request as someone; check that it is answered, and changes what it may."""
        client = self._here if who == HERE else self._far
        client.cookies.clear()
        headers = {"content-type": "application/x-www-form-urlencoded"}
        if who in self._tokens:
            headers["cookie"] = f"{LINK_COOKIE}={self._tokens[who]}"
        try:
            answer: httpx.Response = client.request(
                request.method, request.path, content=request.body, headers=headers
            )
        except Exception as error:
            error.add_note(f"{who}: {request}")
            raise
        self.statuses[who, answer.status_code] += 1
        try:
            _check_answer(answer)
            self._check_changes(who, request)
        except AssertionError as error:
            error.add_note(f"{who}: {request}")
            raise
        return answer

    def _check_changes(self, who: str, request: Strange) -> None:
        version = self._read_version()
        if version == self._version:
            return
        self._version = version
        before, now = self._rows, self._read_rows()
        self._rows = now
        changed = {name for name in now if now[name] != before[name]}
        if request.method != "POST":
            assert changed <= _WORKED_OUT, changed
        self._check_journal(who, before["meet_event"], now["meet_event"])
        if who != HERE:
            assert changed - _WORKED_OUT <= _MAY_CHANGE.get(who, frozenset()), changed

    def _check_journal(self, who: str, before: Any, now: Any) -> None:
        """Lines are added and never changed; by a role only to its own meet, what it may."""
        assert now[: len(before)] == before
        for line in now[len(before) :]:
            if who != HERE:
                assert line.meet_id == self._meet_id
                assert line.kind in MAY_WRITE.get(who, frozenset())
                assert line.by.endswith(f"for {who}")

    def _read_version(self) -> int:
        (version,) = self._watch.execute("PRAGMA data_version").fetchone()
        return int(version)

    def _read_rows(self) -> dict[str, list[Any]]:
        with self._book.read() as session:
            return {
                table.name: list(
                    session.execute(select(*table.columns).order_by(*table.primary_key))
                )
                for table in Base.metadata.sorted_tables
            }


def _check_answer(answer: httpx.Response) -> None:
    assert answer.status_code < 500
    if answer.headers.get("content-type", "").startswith("text/html"):
        faults = html_faults(answer.text, fragment="<!DOCTYPE" not in answer.text[:200])
        # A form that no page has may be told of fields that no page has.
        assert [fault for fault in faults if not fault.startswith("link to '#")] == []
