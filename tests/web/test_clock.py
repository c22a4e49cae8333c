"""The Clock: outings begun, runs entered once, corrected with the old value kept, taken back."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind, TimedRun
from hillbench.records.outing_store import find_outing, list_outing_runs
from hillbench.usecases.begin_outing import begin_outing
from hillbench.usecases.remove_thing import remove_thing
from tests.browser.clock_seed import fill_clock
from tests.web.conftest import NOW, CheckedClient

DAY = {"temperature_c": "18.5", "humidity_percent": "47", "surface_cleaned": "yes"}


@pytest.fixture
def outing(book: BenchBook) -> int:
    """The number of an open outing of Plum (1) and Grey no. 3 (2) on two lanes."""
    fill_clock(book, months=1)
    return begin_outing(book, 1, (1, 2), 2, NOW).id


def runs_of(book: BenchBook, outing: int) -> list[TimedRun]:
    with book.read() as session:
        return list(list_outing_runs(session, [outing]))


def entry(text: str = "10.43", **more: str) -> dict[str, str]:
    return {"car_id": "1", "lane": "1", "finish_time_s": text, "note": "clean", **more}


def test_an_empty_bench_says_what_is_needed_first(client: CheckedClient) -> None:
    page = client.get("/clock").text
    assert 'href="/tracks/new"' in page
    assert 'href="/cars/new"' in page


def test_an_outing_is_begun_with_the_day_noted(client: CheckedClient, book: BenchBook) -> None:
    fill_clock(book, months=1)
    form = {"track_id": "1", "car_id": ["2", "3"], "lanes": "2", "matters_s": "0.05", **DAY}
    answer = client.post("/clock", data={**form, "lubricant_note": "graphite, 2 days"})
    assert answer.status_code == 303
    number = int(answer.headers["location"].rpartition("/")[2])
    with book.read() as session:
        begun = find_outing(session, number)
    assert (begun.plan.car_ids, begun.plan.lanes, begun.matters_s) == ((2, 3), 2, 0.05)
    assert begun.conditions.temperature_c == 18.5
    assert begun.conditions.humidity_percent == pytest.approx(47.0)
    assert begun.conditions.surface_cleaned is True
    page = client.get(f"/clock/{number}").text
    assert "18.5 °C · 47 % humidity · track cleaned · graphite, 2 days" in page
    assert "Run Grey no. 3 first." in page
    assert "Go on with Grey no. 3 and Blue Finch" in client.get("/clock").text


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"car_id": []}, "Cars is empty; allowed is one car or more: choose some."),
        ({"lanes": "2.5"}, "Lanes is 2.5; allowed is a whole number."),
        ({"lanes": "99"}, "Lanes is 99"),
        ({"matters_s": "-1"}, "What matters is -1 s"),
        ({"temperature_c": "warm"}, "Temperature is &#39;warm&#39;"),
        ({"track_id": "77"}, "Track is &#39;77&#39;"),
        ({"note": "x" * 10_001}, "Note is 10001 characters long"),
    ],
)
def test_what_cannot_be_is_said_beside_the_field_and_nothing_is_lost(
    client: CheckedClient, book: BenchBook, wrong: dict[str, str], says: str
) -> None:
    fill_clock(book, months=1)
    form = {"track_id": "1", "car_id": ["1", "2"], "lanes": "1", "lubricant_note": "oil, fresh"}
    answer = client.post("/clock", data={**form, **wrong})
    assert answer.status_code == 422
    assert says in answer.text
    assert "oil, fresh" in answer.text


def test_a_run_is_kept_and_the_next_turn_follows(
    client: CheckedClient, book: BenchBook, outing: int
) -> None:
    answer = client.htmx("POST", f"/clock/{outing}/runs", data=entry("10,43"))
    assert answer.status_code == 200
    assert 'class="turn-car">Grey no. 3<' in answer.text
    assert "lane 2" in answer.text
    (run,) = runs_of(book, outing)
    assert (run.finish_time_s, run.lane, run.at) == (10.43, "1", NOW)


def test_the_same_entry_counts_once_whatever_sends_it(
    client: CheckedClient, book: BenchBook, outing: int
) -> None:
    for _ in range(3):
        answer = client.post(f"/clock/{outing}/runs", data=entry(entry_key="a-key-of-its-own"))
        assert answer.status_code == 303
    assert len(runs_of(book, outing)) == 1


@pytest.mark.parametrize(
    ("waited_s", "ago_s"),
    [("90", 90), ("-5", 0), ("soon", 0), ("nan", 0), ("1e12", 0), ("0", 0)],
)
def test_an_entry_that_waited_was_run_when_it_was_entered(
    client: CheckedClient, book: BenchBook, waited_s: str, ago_s: float
) -> None:
    fill_clock(book, months=1)
    begun: datetime = NOW - timedelta(hours=1)
    earlier = begin_outing(book, 1, (1, 2), 1, begun).id
    client.post(f"/clock/{earlier}/runs", data=entry(waited_s=waited_s))
    (run,) = runs_of(book, earlier)
    assert run.at == NOW - timedelta(seconds=ago_s)


def test_a_note_without_a_finish_needs_no_time_and_takes_none(
    client: CheckedClient, book: BenchBook, outing: int
) -> None:
    client.post(f"/clock/{outing}/runs", data=entry("10", note="off track"))
    client.post(f"/clock/{outing}/runs", data=entry("", note="no finish"))
    assert [(run.finish_time_s, run.note) for run in runs_of(book, outing)] == [
        (None, "off track"),
        (None, "no finish"),
    ]


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        (entry(""), "Time is missing"),
        (entry("0"), "Time is 0"),
        (entry("-3"), "Time is -3"),
        (entry("banana"), "Time is &#39;banana&#39;"),
        (entry("1e9"), "Time is 1e9"),
        (entry(note="splendid"), "How it went is &#39;splendid&#39;"),
        (entry(car_id="x"), "Car is &#39;x&#39;"),
        (entry(lane="1" * 30), "Lane is 30 characters long"),
    ],
)
def test_an_entry_that_cannot_be_is_refused_in_one_sentence(
    client: CheckedClient, book: BenchBook, outing: int, fields: dict[str, str], says: str
) -> None:
    answer = client.htmx("POST", f"/clock/{outing}/runs", data=fields)
    assert answer.status_code == 422
    assert says in answer.text
    assert runs_of(book, outing) == []


def test_a_time_a_hundred_times_too_long_is_asked_about(
    client: CheckedClient, book: BenchBook, outing: int
) -> None:
    answer = client.post(f"/clock/{outing}/runs", data=entry("1043"))
    assert answer.status_code == 422
    assert "was 10.43 s meant?" in answer.text
    assert 'name="confirmed"' in answer.text
    kept = client.post(f"/clock/{outing}/runs", data=entry("1043", confirmed="clean"))
    assert kept.status_code == 303
    assert [run.finish_time_s for run in runs_of(book, outing)] == [1043.0]


def test_what_was_kept_for_another_bench_book_is_not_taken(
    client: CheckedClient, book: BenchBook, outing: int
) -> None:
    fields = entry(begun="2020-01-01T00:00:00+00:00")
    assert client.htmx("POST", f"/clock/{outing}/runs", data=fields).status_code == 409
    assert runs_of(book, outing) == []
    fields = entry(begun=NOW.isoformat())
    assert client.htmx("POST", f"/clock/{outing}/runs", data=fields).status_code == 200


def test_undo_takes_back_the_run_that_was_in_sight(
    client: CheckedClient, book: BenchBook, outing: int
) -> None:
    client.post(f"/clock/{outing}/runs", data=entry("10.43"))
    (first,) = runs_of(book, outing)
    client.post(f"/clock/{outing}/runs", data=entry("10.51", car_id="2"))  # on another phone
    answer = client.post(f"/clock/{outing}/undo", data={"undo_id": str(first.id)})
    assert answer.status_code == 303
    assert [run.finish_time_s for run in runs_of(book, outing)] == [10.51]
    for nonsense in ("", "x", "1"):  # run 1 is of another outing
        client.post(f"/clock/{outing}/undo", data={"undo_id": nonsense})
    assert [run.finish_time_s for run in runs_of(book, outing)] == [10.51]


def test_an_edit_keeps_the_old_value_in_sight(
    client: CheckedClient, book: BenchBook, outing: int
) -> None:
    client.post(f"/clock/{outing}/runs", data=entry("10.43"))
    (run,) = runs_of(book, outing)
    address = f"/clock/runs/{run.id}"
    assert 'value="10.43"' in client.get(address).text
    answer = client.post(address, data=entry("10.34"))
    assert answer.headers["location"] == f"/clock/{outing}"
    assert "Was 10.430 s" in client.get(f"/clock/{outing}").text
    assert "10.430 s" in client.get(address).text
    refused = client.post(address, data=entry("1034"))
    assert refused.status_code == 422
    assert "Keep 1034 s all the same" in refused.text


def test_a_page_that_has_seen_all_is_told_nothing(client: CheckedClient, outing: int) -> None:
    page = client.get(f"/clock/{outing}").text
    seen = page.split('data-seen="')[1].split('"')[0]
    assert client.get(f"/clock/{outing}?seen={seen}").status_code == 204
    client.post(f"/clock/{outing}/runs", data=entry())
    assert client.htmx("GET", f"/clock/{outing}?seen={seen}").status_code == 200


def test_the_day_can_be_changed_and_the_runs_stay(
    client: CheckedClient, book: BenchBook, outing: int
) -> None:
    client.post(f"/clock/{outing}/runs", data=entry())
    assert client.get(f"/clock/{outing}/day").status_code == 200
    form = {"car_id": ["1", "2", "3"], "lanes": "1", **DAY}
    assert client.post(f"/clock/{outing}/day", data=form).status_code == 303
    with book.read() as session:
        assert find_outing(session, outing).plan.car_ids == (1, 2, 3)
    assert len(runs_of(book, outing)) == 1
    assert client.post(f"/clock/{outing}/day", data={"lanes": "1"}).status_code == 422


def test_a_removed_outing_says_so_and_takes_no_run(
    client: CheckedClient, book: BenchBook, outing: int
) -> None:
    remove_thing(book, Kind.OUTING, outing, NOW)
    assert "This outing was removed." in client.get(f"/clock/{outing}").text
    assert client.post(f"/clock/{outing}/runs", data=entry()).status_code == 422


@pytest.mark.parametrize("address", ["/clock/99", "/clock/0", "/clock/x", "/clock/runs/99"])
def test_addresses_of_nothing(client: CheckedClient, address: str) -> None:
    assert client.get(address).status_code == 404


def test_the_worker_is_served_for_the_clock_alone(client: CheckedClient) -> None:
    answer = client.get("/clock/worker.js")
    assert answer.headers["content-type"].startswith("text/javascript")
    assert answer.headers["service-worker-allowed"] == "/clock"
    assert answer.headers["cache-control"] == "no-cache"
    assert "script-src 'self'" in answer.headers["content-security-policy"]
