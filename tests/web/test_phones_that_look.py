"""A guest's phone opens what a printed code leads to, and can change nothing there."""

from __future__ import annotations

from pathlib import Path

import pytest

from hillbench.records.role import Role
from hillbench.usecases.invite import invite
from hillbench.web.app import create_app
from hillbench.web.gate_rules import may
from hillbench.web.visitor import Visitor
from tests.usecases.builds import begun, bench
from tests.usecases.meets import open_meet
from tests.web.conftest import NOW, CheckedClient


def test_pages_of_printed_codes_open_on_a_guests_phone(tmp_path: Path) -> None:
    with bench(tmp_path) as held:
        meet, build = open_meet(held.book, 4, drawn=False), begun(held)
        app = create_app(held.book, clock=lambda: NOW)
        phone = CheckedClient(app, client=("192.0.2.44", 50000))
        _, token = invite(held.book, Role.SPECTATOR, "guest", NOW, meet_id=meet)
        phone.cookies.set("hillbench_link", token)
        for page in ("/cars/1", "/drawer/1", *(f"/builds/{build}{at}" for at in ("", "/work"))):
            answer = phone.get(page)
            assert answer.status_code == 200, page
            assert '<body class="only-read">' in answer.text
        for page in ("/cars/1/edit", "/cars/1/weighings", f"/builds/{build}/finish", "/drawer/1"):
            assert phone.post(page, data={"name": "x"}).status_code == 403, page


@pytest.mark.parametrize("page", ["/cars", "/cars/1/edit", "/builds", "/drawer", "/cars/01", "/"])
def test_nothing_beyond_it_opens(page: str) -> None:
    assert not may(Visitor(Role.SPECTATOR, 1), "GET", page)
    assert not may(Visitor(None), "GET", "/cars/1")
