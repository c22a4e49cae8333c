"""The pages of race day: begun, entered, drawn, run, corrected, told, exported."""

from __future__ import annotations

import io
import re

import pytest
from PIL import Image

from hillbench.racing.format import Format
from hillbench.racing.meet_event import EventKind
from hillbench.racing.meet_state import MeetSettings
from hillbench.racing.staging import upcoming
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.draw_meet import draw_meet
from hillbench.usecases.read_meet import read_meet
from tests.usecases.meets import BO, open_meet, run_all, run_next
from tests.web.conftest import CheckedClient
from tests.web.form_fields import encoded, form_fields

PAGES = (
    *("", "/draw", "/run", "/heats", "/board", "/board/live", "/results", "/people", "/journal"),
    *("/labels", "/edit", "/scrutiny", "/scrutiny/1", "/cars/1", "/results/places.csv"),
    *("/results/runs.csv", "/results/all.json"),
)
HOSTILE = "<script>alert(1)</script> & \u200b'\"ｅ" + "W" * 60


@pytest.fixture
def meet(book: BenchBook) -> int:
    """A drawn meet of seven guests on three lanes."""
    return open_meet(book)


def send(client: CheckedClient, page: str, action: str, **typed: str) -> str:
    """Fill the form of a page as a browser would, send it, and return where it leads."""
    fields = dict(form_fields(client.get(page).text, action))
    body, headers = encoded(list({**fields, **typed}.items()))
    answer = client.post(action, content=body, headers=headers)
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def test_a_race_day_from_nothing_to_the_results(client: CheckedClient) -> None:
    assert "No meet yet" in client.get("/meets").text
    where = send(client, "/meets/new", "/meets", name="First meet")
    assert where == "/meets/1"
    for number in range(1, 5):
        send(client, "/meets/1", "/meets/1/entries", car_name=f"Car {number}", owner_name="Wenna")
    send(
        client, "/meets/1/draw", "/meets/1/draw/settings",
        format="timed heats", lanes="2", timed="yes", score="sum",
    )  # fmt: skip
    send(client, "/meets/1/draw", "/meets/1/draw")
    while "Start heat" in (page := client.get("/meets/1/run").text):
        heat = re.search(r"/meets/1/run/(\d+)/start", page)
        assert heat is not None
        send(client, "/meets/1/run", f"/meets/1/run/{heat[1]}/start")
        page = client.get("/meets/1/run").text
        assert "On the track" in page
        times = {f"lane_{lane}": f"10.{heat[1]}{lane}" for lane in (1, 2)}
        send(client, "/meets/1/run", f"/meets/1/run/{heat[1]}", **times)
    results = client.get("/meets/1/results").text
    assert "wins" in results
    assert "By the sum of all times" in results
    send(client, "/meets/1/results", "/meets/1/end", closed="yes")
    assert "over" in client.get("/meets/1/run").text
    assert "won" in client.get("/meets").text


def test_every_page_stands_before_during_and_after(client: CheckedClient, book: BenchBook) -> None:
    meet = open_meet(book, drawn=False)
    for go_on in (lambda: draw_meet(book, meet, BO, 1), lambda: run_next(book, meet), None):
        for page in PAGES:
            assert client.get(f"/meets/{meet}{page}").status_code == 200, page
        if go_on is not None:
            go_on()
    run_all(book, meet)
    for page in PAGES:
        assert client.get(f"/meets/{meet}{page}").status_code == 200, page


def test_hostile_names_are_shown_as_they_are(client: CheckedClient, meet: int) -> None:
    send(client, f"/meets/{meet}", f"/meets/{meet}/entries", car_name=HOSTILE, owner_name=HOSTILE)
    for page in ("", "/board", "/cars/8", "/labels", "/scrutiny", "/draw"):
        text = client.get(f"/meets/{meet}{page}").text
        assert "&lt;script&gt;" in text
        assert "<script>alert" not in text


def test_what_is_typed_wrongly_is_said_beside_its_lane_and_nothing_is_lost(
    client: CheckedClient, meet: int
) -> None:
    body = {"lane_1": "fast", "note_1": "clean", "lane_2": "10.5", "heat": "1"}
    answer = client.post(f"/meets/{meet}/run/1", data=body)
    assert answer.status_code == 422
    assert 'href="#told-lane_1"' in answer.text
    assert 'value="10.5"' in answer.text


def test_a_doubtful_time_is_kept_once_it_is_confirmed(
    client: CheckedClient, book: BenchBook, meet: int
) -> None:
    run_next(book, meet)
    body = {"lane_1": "1010", "heat": "2"}
    answer = client.post(f"/meets/{meet}/run/2", data=body)
    assert answer.status_code == 422
    assert "Keep these times all the same" in answer.text
    kept = client.post(f"/meets/{meet}/run/2", data={**body, "confirmed": "yes"})
    assert kept.status_code == 303


def test_the_same_form_twice_is_one_entry(
    client: CheckedClient, book: BenchBook, meet: int
) -> None:
    body = {f"lane_{lane}": f"10.{lane}" for lane in (1, 2, 3)}
    sent = {**body, "heat": "1", "entry_key": "k" * 32, "seen": "9"}
    for _ in range(3):
        assert client.post(f"/meets/{meet}/run/1", data=sent).status_code == 303
    kinds = [event.kind for event in read_meet(book, meet).events]
    assert kinds.count(EventKind.TIMES) == 1


def test_who_was_slower_sees_what_changed_and_keeps_what_was_typed(
    client: CheckedClient, book: BenchBook, meet: int
) -> None:
    number = run_next(book, meet)
    page = client.get(f"/meets/{meet}/heats/{number}").text
    action = f"/meets/{meet}/heats/{number}/lanes/1"
    fields = dict(form_fields(page, action))
    first = {**fields, "lane_1": "9.1", "note_1": "clean", "reason": "read wrongly"}
    second = {**first, "entry_key": "b" * 32, "lane_1": "9.2", "reason": "no, otherwise"}
    assert client.post(action, data=first).status_code == 303
    late = client.post(action, data=second)
    assert late.status_code == 422
    assert "Someone was faster" in late.text
    assert "corrected to 9.100 s, because: read wrongly" in late.text
    assert 'value="9.2"' in late.text
    assert read_meet(book, meet).state.heats[number].rows[1].time_s == 9.1


def test_times_come_from_the_timers_line(client: CheckedClient, book: BenchBook, meet: int) -> None:
    lines = "finish 10.123\nfinish 10.456\nfinish 10.789"
    answer = client.post(f"/meets/{meet}/run/1", data={"line": lines, "heat": "1"})
    assert answer.status_code == 303
    rows = read_meet(book, meet).state.heats[1].rows
    assert [rows[lane].time_s for lane in (1, 2, 3)] == [10.123, 10.456, 10.789]


def test_the_board_says_only_what_is_new(client: CheckedClient, book: BenchBook, meet: int) -> None:
    live = f"/meets/{meet}/board/live"
    page = client.htmx("GET", live)
    tag = page.headers["etag"]
    seen = read_meet(book, meet).state.seq
    assert client.htmx("GET", f"{live}?seen={seen}").status_code == 204
    assert client.htmx("GET", live, headers={"if-none-match": tag}).status_code == 304
    run_next(book, meet)
    fresh = client.htmx("GET", f"{live}?seen={seen}")
    assert fresh.status_code == 200
    assert "Just run" in fresh.text
    assert fresh.headers["etag"] != tag


def test_an_absent_car_is_noted_at_the_start(
    client: CheckedClient, book: BenchBook, meet: int
) -> None:
    car = next(car for car in upcoming(read_meet(book, meet).state)[1].cars if car)
    action = f"/meets/{meet}/run/cars/{car}/absent"
    assert send(client, f"/meets/{meet}/run", action) == f"/meets/{meet}/run"
    assert car not in upcoming(read_meet(book, meet).state)[0].cars
    send(client, f"/meets/{meet}/run", f"/meets/{meet}/run/cars/{car}/present")


def test_a_false_start_a_rerun_a_protest_and_an_undo(
    client: CheckedClient, book: BenchBook, meet: int
) -> None:
    run, heat = f"/meets/{meet}/run", f"/meets/{meet}/heats/1"
    send(client, run, f"{run}/1/start")
    send(client, run, f"{run}/1/false-start")
    assert "1 false start" in client.get(run).text
    send(client, run, f"{run}/1", lane_1="10.1", lane_2="10.2", lane_3="10.3")
    send(client, heat, f"{run}/1/again", reason="a cat on lane 2")
    assert "Does not count: a cat on lane 2" in client.get(heat).text
    send(client, run, f"/meets/{meet}/undo")
    assert "Does not count" not in client.get(heat).text
    car = str(read_meet(book, meet).state.heats[1].cars[0])
    send(client, heat, f"/meets/{meet}/protests", car=car, protest="it was pushed")
    seq = read_meet(book, meet).state.protests[0].seq
    send(client, f"/meets/{meet}/heats", f"/meets/{meet}/protests/{seq}", ruling="it was not")
    assert "it was not" in client.get(f"/meets/{meet}/journal").text


def test_scrutiny_on_the_phone(client: CheckedClient, meet: int) -> None:
    page = f"/meets/{meet}/scrutiny/1"
    signed = {"wheelbase_mm": "42", "question_0": "yes", "signed_by": "Bo"}
    assert send(client, page, page, mass_g="60.02", **signed) == page
    assert "within 0.05 g of the most of 60 g: measure again" in client.get(page).text
    assert send(client, page, page, mass_g="60.02 59.98 59.95", **signed).endswith("/scrutiny")
    send(client, page, page, mass_g="2.2 oz", **signed)
    shown = client.get(page).text
    assert "Mass is 62.37 g, 2.37 g over the most of 60 g." in shown
    assert "Put it right and come back" in client.get(f"/meets/{meet}/cars/1").text
    wrong = client.post(page, data={"mass_g": "heavy", "signed_by": ""})
    assert wrong.status_code == 422
    assert 'value="heavy"' in wrong.text


def test_the_photo_taken_at_scrutiny_is_shown_and_a_hostile_one_refused(
    client: CheckedClient, meet: int
) -> None:
    page = f"/meets/{meet}/scrutiny/2"
    content = io.BytesIO()
    Image.new("RGB", (80, 60), (9, 9, 9)).save(content, "JPEG")
    signed = {"mass_g": "58", "wheelbase_mm": "42", "question_0": "yes", "signed_by": "Bo"}
    sent = client.post(page, data=signed, files={"photo": ("a.jpg", content.getvalue())})
    assert sent.status_code == 303
    shown = re.search(r'src="(/photos/[0-9a-f]{64})\?size=320"', client.get(page).text)
    assert shown is not None
    assert client.get(shown[1]).headers["content-type"] == "image/webp"
    for hostile in (b"<svg onload=alert(1)>", b"GIF89a" + b"\0" * 50, b"\xff\xd8\xff" + b"A" * 99):
        refused = client.post(page, data=signed, files={"photo": ("../../x.jpg", hostile)})
        assert refused.status_code == 422
        assert "no picture that can be read" in refused.text


def test_a_class_and_a_season_are_kept_copied_and_changed(client: CheckedClient) -> None:
    where = send(client, "/classes/new", "/classes", name="Sixty", most_mass_g="60", from_on="")
    assert where == "/classes/1"
    copied = client.post("/classes/1/copy").headers["location"]
    send(client, copied, copied, name="Guests", most_mass_g="2 oz", least_wheelbase_mm="1.2 in")
    shown = client.get(copied).text
    assert 'value="56.699"' in shown or 'value="56.6990"' in shown
    assert "Began as a copy of" in shown
    crooked = client.post("/classes", data={"name": "X", "least_mass_g": "60", "most_mass_g": "50"})
    assert crooked.status_code == 422
    where = send(client, "/seasons/new", "/seasons", name="Lanterns", points="9, 5, 1", drop="1")
    assert "No meet of this season was run yet." in client.get(where).text
    wrong = client.post("/seasons", data={"name": "Y", "score": "points", "points": "1, 2"})
    assert wrong.status_code == 422


def test_a_meet_that_is_not_there_is_no_fault(client: CheckedClient) -> None:
    for page in PAGES:
        assert client.get(f"/meets/77{page}").status_code == 404
    assert client.post("/meets/77/run/1", data={}).status_code == 404


def test_two_side_by_side_need_one_tap(client: CheckedClient, book: BenchBook) -> None:
    settings = MeetSettings(Format.SINGLE, lanes=2, timed=False, open_track=True)
    meet = open_meet(book, 4, settings)
    first, second = (car for car in upcoming(read_meet(book, meet).state)[0].cars if car)
    page = client.get(f"/meets/{meet}/run").text
    assert f"Car {second} wins</button>" in page
    answer = client.post(f"/meets/{meet}/run/1", data={"heat": "1", "winner": "2"})
    assert answer.status_code == 303
    rows = read_meet(book, meet).state.heats[1].rows
    assert {row.car: row.place for row in rows.values()} == {first: 2, second: 1}
    board = client.get(f"/meets/{meet}/board").text
    assert "won by" in board
    assert ">in</td>" in board


def test_a_meet_that_is_renamed_is_called_so_at_once(client: CheckedClient, meet: int) -> None:
    page = f"/meets/{meet}"
    client.get(page)
    send(client, f"{page}/edit", f"{page}/edit", name="Another name", held_on="2026-06-01")
    shown = client.get(page).text
    assert "Another name" in shown
    assert "1 Jun 2026" in shown
    wrong = client.post(f"{page}/edit", data={"name": " ", "held_on": "yesterday"})
    assert wrong.status_code == 422
    assert client.post(f"/remove/meet/{meet}", data={"back": "/meets"}).status_code == 303
    assert "Another name" not in client.get("/meets").text
