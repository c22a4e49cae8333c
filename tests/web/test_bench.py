"""The bench page: empty, with work in hand, and changed for the other bench."""

from __future__ import annotations

from pathlib import Path

from hillbench.records import about_store
from hillbench.records.bench_book import BenchBook
from hillbench.web.app import create_app
from hillbench.web.bench_holder import Opener, Which
from tests.browser.seed import fill
from tests.web.conftest import CheckedClient


def test_an_empty_bench_leads_through_the_first_hour(client: CheckedClient) -> None:
    page = client.get("/").text
    assert "The bench is clear." in page
    for address in ("/tracks/new", "/cars/new", "/guide/first-hour"):
        assert f'href="{address}"' in page
    assert "Work in hand" not in page


def test_steps_already_done_are_ticked(client: CheckedClient) -> None:
    client.post("/cars/new", data={"name": "Plum", "casting": "Marl", "note": ""})
    page = client.get("/").text
    assert page.count('<li class="done">') == 1
    assert "Weigh Plum" in page


def test_work_in_hand(book: BenchBook) -> None:
    fill(book)
    page = CheckedClient(create_app(book)).get("/").text
    assert page.index("Grey no. 3") < page.index("Plum")
    assert "41.213" in page  # the later weighing counts
    assert "36.41" not in page
    assert "bearing friction 0.22" in page  # assumed for want of a reading
    assert "Your first hour" not in page.split("<main")[1].split("</main>")[0]
    assert "Not weighed yet" in page
    assert "Lost" not in page


def test_predicted_times_come_after_the_page(book: BenchBook) -> None:
    fill(book)
    client = CheckedClient(create_app(book))
    assert 'hx-get="/bench/1/times"' in client.get("/").text
    part = client.htmx("GET", "/bench/1/times").text
    assert part.lstrip().startswith('<ul class="slip-tracks" id="times-1">')
    assert "on Cellar stairs" in part
    assert "predicted" in part


def test_the_demo_says_so_and_leads_to_the_own_bench_and_back(tmp_path: Path) -> None:
    demo = BenchBook.open(tmp_path / "demo")
    with demo.write() as session:
        about_store.mark_invented(session)
    app = create_app(demo, demo=True, openers={"own": lambda: BenchBook.open(tmp_path / "own")})
    with CheckedClient(app) as client:
        client.post("/cars/new", data={"name": "Invented", "casting": "None", "note": ""})
        page = client.get("/cars").text
        assert "Invented bench." in page
        assert "Open my own bench" in page
        assert client.post("/bench/open", data={"which": "own"}).headers["location"] == "/"
        own = client.get("/").text
        assert "This is your own bench." in own
        assert "Invented bench." not in own
        assert "Invented" not in client.get("/cars").text
        client.post("/cars/new", data={"name": "Real", "casting": "None", "note": ""})
        assert client.post("/bench/open", data={"which": "demo"}).status_code == 303
        assert "Real" not in client.get("/cars").text
        assert "Invented" in client.get("/cars").text
    with BenchBook.open(tmp_path / "own") as book:
        assert "Real" in CheckedClient(create_app(book)).get("/cars").text


def test_a_bench_that_cannot_be_opened_leaves_the_open_one(book: BenchBook, tmp_path: Path) -> None:
    (tmp_path / "own").write_text("a file, not a folder")
    openers: dict[Which, Opener] = {"own": lambda: BenchBook.open(tmp_path / "own")}
    client = CheckedClient(create_app(book, demo=True, openers=openers))
    response = client.post("/bench/open", data={"which": "own"})
    assert response.status_code == 500
    assert "not a bench book" in response.text
    assert client.get("/").status_code == 200


def test_no_other_bench_can_be_asked_for(client: CheckedClient) -> None:
    for which in ("demo", "/etc", ""):
        assert client.post("/bench/open", data={"which": which}).status_code == 404


def test_the_guide_is_readable(client: CheckedClient) -> None:
    page = client.get("/guide/first-hour").text
    assert 'href="/guide/measuring-a-car"' in page
    assert "wear glasses" in page
    for name in ("measuring-a-car", "what-the-numbers-mean"):
        assert client.get(f"/guide/{name}").status_code == 200
