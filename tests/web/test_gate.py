"""Other devices come in by a link, may do what their role may, and nothing else."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

import pytest

from hillbench.records.bench_book import BenchBook
from hillbench.records.role import Role
from hillbench.usecases.invite import NotInvited, check_token, invite, revoke
from hillbench.web import gate
from hillbench.web.app import create_app
from hillbench.web.gate_rules import may
from hillbench.web.rate_limit import BURST, PER_S, RateLimit
from hillbench.web.visitor import Visitor, is_this_computer
from tests.usecases.meets import open_meet
from tests.web.conftest import NOW, CheckedClient

PHONE = ("192.0.2.44", 50000)


class Clock:
    """The present moment, which a test may move."""

    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def phone(book: BenchBook, clock: Clock) -> CheckedClient:
    """A phone that nobody invited yet."""
    return CheckedClient(create_app(book, clock=clock), client=PHONE)


def let_in(phone: CheckedClient, book: BenchBook, role: Role, meet_id: int | None) -> int:
    """Scan a code of a role; return the number of the invitation."""
    made, token = invite(book, role, f"for {role}", NOW, meet_id=meet_id)
    answer = phone.get(f"/join/{token}")
    if role is not Role.SPECTATOR:
        assert "Join as" in answer.text
        answer = phone.post(f"/join/{token}", data={"name": "Ilse ☂"})
    assert answer.status_code == 303
    return made.id


def test_a_stranger_sees_nothing_but_how_to_get_in(phone: CheckedClient, book: BenchBook) -> None:
    meet = open_meet(book)
    for page in ("/", "/cars", "/meets", f"/meets/{meet}/board", "/people", "/clock", "/removed"):
        answer = phone.get(page)
        assert answer.status_code == 403
        assert "was not invited" in answer.text
        assert 'class="places"' not in answer.text
    assert phone.post("/meets", data={"name": "x"}).status_code == 403


@pytest.mark.parametrize(
    ("role", "lands", "reads", "not_reads"),
    [
        (Role.SPECTATOR, "/board", ("/board", "/cars/1", "/results"), ("/run", "/scrutiny", "")),
        (Role.SCRUTINY, "/scrutiny", ("/scrutiny/1", "/board"), ("/run", "/draw", "/people")),
        (Role.CLOCK, "/run", ("/run", "/heats", "/journal"), ("/scrutiny", "/draw", "/people")),
        (Role.DIRECTOR, "", ("", "/draw", "/people", "/run", "/scrutiny"), ()),
    ],
)
def test_each_role_sees_its_own_pages(
    phone: CheckedClient,
    book: BenchBook,
    role: Role,
    lands: str,
    reads: tuple[str, ...],
    not_reads: tuple[str, ...],
) -> None:
    meet, other = open_meet(book, drawn=False), open_meet(book, 5, drawn=False)
    let_in(phone, book, role, meet)
    assert phone.get("/").headers["location"] == f"/meets/{meet}{lands}"
    for page in reads:
        assert phone.get(f"/meets/{meet}{page}").status_code == 200, page
        assert phone.get(f"/meets/{other}{page}").status_code == 403, page
    for page in not_reads:
        answer = phone.get(f"/meets/{meet}{page}")
        assert answer.status_code == 403, page
        assert f"as {role}" in answer.text
    for page in ("/cars", "/people", "/clock", "/removed", "/meets/new", "/classes/1"):
        assert phone.get(page).status_code == 403, page
    for action in ("/bench/open", "/remove/meet/1", "/meets", "/people", "/cars"):
        assert phone.post(action, data={"which": "demo"}).status_code == 403, action


@pytest.mark.parametrize("role", [Role.SPECTATOR, Role.SCRUTINY])
def test_a_phone_that_may_not_write_does_not(
    phone: CheckedClient, book: BenchBook, role: Role
) -> None:
    meet = open_meet(book)
    let_in(phone, book, role, meet)
    for action in ("/run/1", "/run/1/start", "/undo", "/draw", "/entries", "/end", "/people"):
        assert phone.post(f"/meets/{meet}{action}", data={"lane_1": "10"}).status_code == 403
    for method in ("PUT", "DELETE", "PATCH", "OPTIONS"):
        assert phone.request(method, f"/meets/{meet}/board").status_code == 403


def test_what_an_official_writes_bears_name_and_office(
    phone: CheckedClient, book: BenchBook
) -> None:
    meet = open_meet(book)
    let_in(phone, book, Role.CLOCK, meet)
    body = {"lane_1": "10.1", "lane_2": "10.2", "lane_3": "10.3", "heat": "1"}
    assert phone.post(f"/meets/{meet}/run/1", data=body).status_code == 303
    assert "Ilse ☂, for clock" in phone.get(f"/meets/{meet}/journal").text


def test_a_link_ends_and_can_be_taken_back(
    phone: CheckedClient, book: BenchBook, clock: Clock
) -> None:
    meet = open_meet(book)
    number = let_in(phone, book, Role.CLOCK, meet)
    page = f"/meets/{meet}/run"
    assert phone.get(page).status_code == 200
    clock.now = NOW + timedelta(hours=12, minutes=1)
    assert phone.get(page).status_code == 403
    clock.now = NOW
    assert phone.get(page).status_code == 200
    revoke(book, number, NOW)
    assert phone.get(page).status_code == 403


def test_guessed_and_forged_links_let_nobody_in(book: BenchBook, phone: CheckedClient) -> None:
    meet = open_meet(book)
    _, token = invite(book, Role.SPECTATOR, "board", NOW, meet_id=meet)
    number, expires, secret, signature = token.split(".")
    forged = [
        "", "x", "....", "1.1.1.1", token[:-1], f"{token}0", "é" * 40, "1" * 10_000,
        f"{number}.{int(expires) + 86400}.{secret}.{signature}",
        f"{int(number) + 1}.{expires}.{secret}.{signature}",
        f"{number}.{expires}.{'A' * len(secret)}.{signature}",
    ]  # fmt: skip
    for one in forged:
        with pytest.raises(NotInvited):
            check_token(book, one, NOW)
        phone.cookies.set("hillbench_link", one.encode("ascii", "ignore").decode())
        assert phone.get(f"/meets/{meet}/board").status_code == 403
    assert check_token(book, token, NOW).meet_id == meet


def test_the_secret_is_kept_as_a_digest_only(book: BenchBook) -> None:
    _, token = invite(book, Role.DIRECTOR, "Ada", NOW)
    book.close()
    content = b"".join(path.read_bytes() for path in book.folder.glob("bench.db*"))
    assert token.split(".")[2].encode() not in content


def test_the_director_lists_and_revokes(client: CheckedClient, book: BenchBook) -> None:
    meet = open_meet(book)
    page = f"/meets/{meet}/people"
    made = client.post(page, data={"role": "clock", "label": "Ada", "valid_hours": "3"})
    assert made.status_code == 200
    token = re.search(r"/join/([^<]+)<", made.text)
    assert token is not None
    assert '<svg class="qr"' in made.text
    assert token[1] not in client.get(page).text
    assert client.post(f"{page}/1/revoke").status_code == 303
    assert "taken back" in client.get(page).text
    with pytest.raises(NotInvited):
        check_token(book, token[1], NOW)
    wrong = client.post(page, data={"role": "king", "valid_hours": "9999"})
    assert wrong.status_code == 422


def test_a_director_of_one_meet_reaches_no_other_invitation(
    phone: CheckedClient, book: BenchBook
) -> None:
    meet, other = open_meet(book, drawn=False), open_meet(book, 5, drawn=False)
    let_in(phone, book, Role.DIRECTOR, meet)
    elsewhere, _ = invite(book, Role.CLOCK, "elsewhere", NOW, meet_id=other)
    whole, _ = invite(book, Role.CLOCK, "whole bench", NOW)
    for number in (elsewhere.id, whole.id):
        assert phone.post(f"/meets/{meet}/people/{number}/revoke").status_code == 404
    assert "whole bench" not in phone.get(f"/meets/{meet}/people").text


def test_a_clock_of_the_whole_bench_reaches_clock_and_meets(
    phone: CheckedClient, book: BenchBook
) -> None:
    meet = open_meet(book)
    let_in(phone, book, Role.CLOCK, None)
    for page in ("/clock", "/meets", f"/meets/{meet}/run"):
        assert phone.get(page).status_code == 200
    assert phone.get("/cars").status_code == 403


def test_a_post_from_another_site_is_refused_from_any_device(
    phone: CheckedClient, book: BenchBook
) -> None:
    meet = open_meet(book)
    let_in(phone, book, Role.CLOCK, meet)
    body = {"lane_1": "10.1", "heat": "1"}
    for headers in ({"sec-fetch-site": "cross-site"}, {"origin": "http://evil.example"}):
        answer = phone.post(f"/meets/{meet}/run/1", data=body, headers=headers)
        assert answer.status_code == 403


@pytest.mark.parametrize("role", [None, *Role])
@pytest.mark.parametrize(
    "path",
    [
        "/assets/../people",
        "//meets/1/run",
        "/meets/1/board/../run",
        "/meets/01/run",
        "/meets/1/run\n",
    ],
)
def test_no_spelling_of_an_address_opens_more(role: Role | None, path: str) -> None:
    """Paths are matched as they are routed, and the router resolves no dots."""
    visitor = Visitor(role, 1)
    assert not may(visitor, "POST", path) or role in {Role.CLOCK, Role.DIRECTOR}


def test_one_phone_is_slowed_down_and_the_others_are_served() -> None:
    moment = [0.0]
    limit = RateLimit(lambda: moment[0])
    served = 0
    for _ in range(10_000):
        moment[0] += 1e-4  # 10,000 requests in one second
        served += limit.wait_s("a") == 0.0
    assert served <= BURST + PER_S + 1
    assert limit.wait_s("b") == 0.0
    moment[0] += 1.0
    assert limit.wait_s("a") == 0.0


def test_a_phone_that_asks_too_fast_is_told_to_wait(
    phone: CheckedClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(gate, "HELD_FOR_S", 0.002)
    answers = [phone.get("/join/x") for _ in range(int(BURST) + 80)]
    slowed = [answer for answer in answers if answer.status_code == 429]
    assert slowed
    assert int(slowed[0].headers["retry-after"]) >= 1
    assert "content-security-policy" in slowed[0].headers


@pytest.mark.parametrize(
    ("client", "server", "host", "here"),
    [
        ("127.0.0.1", "127.0.0.1", "127.0.0.1:8064", True),
        ("127.0.0.1", "127.0.0.1", "localhost:8064", True),
        ("::1", "::1", "[::1]:8064", True),
        ("192.0.2.7", "192.0.2.7", "192.0.2.7:8064", True),
        # A proxy on this computer that passes on what came from outside.
        ("127.0.0.1", "127.0.0.1", "league.example", False),
        ("192.0.2.7", "192.0.2.7", "league.example", False),
        ("192.0.2.44", "192.0.2.7", "192.0.2.7:8064", False),
        ("192.0.2.44", "192.0.2.7", "127.0.0.1:8064", False),
        ("not an address", "127.0.0.1", "127.0.0.1", False),
    ],
)
def test_this_computer_is_told_from_others(client: str, server: str, host: str, here: bool) -> None:
    scope = {
        "type": "http",
        "client": (client, 5),
        "server": (server, 8064),
        "headers": [(b"host", host.encode())],
    }
    assert is_this_computer(scope) is here
    assert not is_this_computer({**scope, "client": None})
