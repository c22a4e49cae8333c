"""Every address, asked strangely by everybody: no fault, and nobody changes what they may not."""

from __future__ import annotations

import os
from collections.abc import Iterator
from random import Random

import pytest

from hillbench.racing.format import Format
from hillbench.racing.meet_state import MeetSettings
from hillbench.records.bench_book import BenchBook
from tests.usecases.meets import open_meet, run_next
from tests.web.strange_requests import Strange, all_routes, any_request, filled, forms_in, spoilt
from tests.web.strange_visitors import HERE, ROLES, STRANGER, Visitors

REQUESTS = int(os.environ.get("STRANGE_REQUESTS", "20"))
"""For each who asks; more where a longer hunt is wanted."""


@pytest.fixture
def visitors(book: BenchBook) -> Iterator[Visitors]:
    """Everybody, invited to a meet that is under way beside another one."""
    open_meet(book, 5)
    meet_id = open_meet(book, 7, MeetSettings(Format.TIMED_HEATS_FINAL, lanes=3, finalists=3))
    run_next(book, meet_id)
    with Visitors(book, meet_id) as everybody:
        yield everybody


def of_meets(routes: tuple[tuple[str, str], ...]) -> list[tuple[str, str]]:
    """Return the routes of meets, with the number of the one that roles are invited to."""
    return [
        (method, path.replace("{meet_id}", "2")) for method, path in routes if "meet_id" in path
    ]


def test_strange_requests_of_everybody(visitors: Visitors) -> None:
    rng = Random(8)
    routes = of_meets(all_routes())
    for who in (STRANGER, *ROLES, HERE):
        forms = forms_seen_by(visitors, "director" if who in (STRANGER, "spectator") else who)
        for number in range(REQUESTS):
            strange = any_request(rng, routes) if number % 2 else spoilt(rng.choice(forms), rng)
            visitors.send(who, strange)
    written = {who for who, status in visitors.statuses if status == 303}
    assert written >= {"scrutiny", "clock", "director", HERE}


def test_every_address_of_the_app_with_strange_numbers(visitors: Visitors) -> None:
    rng = Random(64)
    for method, path in all_routes():
        visitors.send(HERE, any_request(rng, [(method, path)]))
        visitors.send(rng.choice((STRANGER, *ROLES)), any_request(rng, [(method, path)]))


def test_a_spectator_posts_to_every_address_and_changes_nothing(visitors: Visitors) -> None:
    for method, path in all_routes():
        if method == "POST" and not path.startswith(("/join", "/preferences")):
            for address in (filled(path), filled(path.replace("{meet_id}", "2"))):
                for who in (STRANGER, "spectator"):
                    assert visitors.send(who, Strange("POST", address)).status_code == 403


def forms_seen_by(visitors: Visitors, who: str) -> list[Strange]:
    """Return the forms on the pages of the meet that someone may open."""
    found = []
    for method, path in of_meets(all_routes()):
        if method == "GET" and not path.endswith((".pdf", ".svg", ".json")):
            answer = visitors.send(who, Strange("GET", filled(path)))
            if answer.status_code == 200 and "html" in answer.headers["content-type"]:
                found += list(forms_in(answer.text))
    return found
