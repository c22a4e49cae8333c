"""Tables of times in the browser: any columns, confirmed, the bad rows corrected in place."""

from __future__ import annotations

import re
from typing import Any

import httpx
import pytest

from hillbench.records.bench_book import BenchBook
from hillbench.records.car_store import list_cars
from hillbench.records.outing_store import list_outing_runs
from hillbench.usecases.show_outing import list_outings
from tests.browser.clock_seed import fill_clock
from tests.web.conftest import CheckedClient
from tests.web.form_fields import Fields, encoded, form_fields

KEEP = "/clock/import/keep"
GERMAN = (
    "\ufeffWagen;Zeit;Bahn;Bemerkung\r\n"
    'Plum;10,41;1;\r\n"Grey no. 3";10,52;2;snag\r\nPlum;banana;2;\r\n'
    "Roger;10,7;1;\r\nPlum;1041;1;\r\n"
)


@pytest.fixture
def filled(book: BenchBook) -> BenchBook:
    """A bench book with a track and four cars, and no outing but one."""
    fill_clock(book, months=1)
    return book


def look(client: CheckedClient, text: str) -> httpx.Response:
    answer: httpx.Response = client.post("/clock/import", data={"track_id": "1", "text": text})
    return answer


def keep(client: CheckedClient, fields: Fields, action: str = "keep") -> httpx.Response:
    body, headers = encoded([*fields, ("action", action)])
    answer: httpx.Response = client.post(KEEP, content=body, headers=headers)
    return answer


def heading(answer: httpx.Response) -> str:
    found = re.search(r"<h1>(.*?)</h1>", answer.text)
    assert found is not None
    return found[1]


def test_a_table_is_guessed_and_nothing_kept_until_confirmed(
    client: CheckedClient, filled: BenchBook
) -> None:
    before = len(list_outings(filled))
    fields = dict(form_fields(look(client, GERMAN).text, KEEP))
    assert [fields[f"column_{place}"] for place in range(4)] == ["car", "time", "lane", "note"]
    assert (fields["name_0"], fields["car_0"]) == ("Plum", "1")
    assert (fields["name_2"], fields["car_2"]) == ("Roger", "new")
    assert len(list_outings(filled)) == before


def test_good_rows_are_kept_and_bad_ones_corrected_in_place(
    client: CheckedClient, filled: BenchBook
) -> None:
    first = keep(client, form_fields(look(client, GERMAN).text, KEEP))
    assert heading(first) == "3 runs kept on Fern Hill"
    assert "row 4, time is &#39;banana&#39;" in first.text
    assert "was 10.41 s meant?" in first.text
    again = [
        (name, value.replace("banana", "10,44")) for name, value in form_fields(first.text, KEEP)
    ]
    second = keep(client, again)
    assert heading(second) == "1 run kept on Fern Hill"
    assert "3 rows were in the bench book already" in second.text
    last = [
        (name, value.replace("1041", "10,41")) for name, value in form_fields(second.text, KEEP)
    ]
    assert "Every row could be used." in keep(client, last).text
    newest = list_outings(filled)[0]
    assert newest.run_count == 5
    with filled.read() as session:
        runs = list_outing_runs(session, [newest.outing.id])
        names = [car.name for car in list_cars(session)]
    assert sorted(run.finish_time_s for run in runs if run.finish_time_s) == [
        *(10.41, 10.41, 10.44, 10.52, 10.7),
    ]
    assert names.count("Roger") == 1


@pytest.mark.usefixtures("filled")
def test_the_columns_are_remembered_for_the_next_table(client: CheckedClient) -> None:
    keep(client, form_fields(look(client, "A;B\n10,4;Plum\n10,5;Plum\n").text, KEEP))
    assert "Read as the last such table was." in look(client, "A;B\n10,6;Plum\n").text


def test_another_meaning_of_the_columns_can_be_chosen(
    client: CheckedClient, filled: BenchBook
) -> None:
    fields = dict(form_fields(look(client, "car,t1,t2\nPlum,9.9,10.4\nPlum,9.8,10.5\n").text, KEEP))
    fields |= {"column_1": "", "column_2": "time"}
    looked = keep(client, list(fields.items()), "look")
    assert "2 runs on Fern Hill" in looked.text
    kept = keep(client, form_fields(looked.text, KEEP))
    assert heading(kept) == "2 runs kept on Fern Hill"
    with filled.read() as session:
        runs = list_outing_runs(session, [list_outings(filled)[0].outing.id])
    assert [run.finish_time_s for run in runs] == [10.4, 10.5]
    fields |= {"column_1": "time"}
    twice = keep(client, list(fields.items()))
    assert twice.status_code == 422
    assert "taken for the time as well" in twice.text


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "Table is empty"),
        ("\0\1\2binary", "no text"),
        ('a,b\n"never closed,1\n', "closed quotes"),
    ],
)
@pytest.mark.usefixtures("filled")
def test_what_is_no_table_is_said_in_one_sentence(
    client: CheckedClient, text: str, says: str
) -> None:
    answer = look(client, text)
    assert answer.status_code == 422
    assert says in answer.text


@pytest.mark.usefixtures("filled")
def test_a_table_without_a_time_asks_for_the_columns(client: CheckedClient) -> None:
    answer = look(client, "one,two\nx,y\n")
    assert answer.status_code == 200
    assert "Say which column is what." in answer.text


@pytest.mark.usefixtures("filled")
def test_a_file_of_fifty_thousand_rows_is_read(client: CheckedClient) -> None:
    rows = "".join(f"Plum,{10 + place % 97 / 100:.2f},{place}\n" for place in range(50_000))
    text = f"car,time,run\n{rows}"
    file = ("times.csv", text.encode(), "text/csv")
    # The checks of every answer would take longer than the rows.
    looked = post_unchecked(client, "/clock/import", data={"track_id": "1"}, files={"file": file})
    assert "50000 runs on Fern Hill" in looked.text
    pieces = [("text", text[start : start + 500_000]) for start in range(0, len(text), 500_000)]
    assert looked.text.count('<textarea name="text"') == len(pieces)
    chosen = [("column_0", "car"), ("column_1", "time"), ("column_2", "order")]
    fields = [*pieces, *chosen, ("has_heading", "yes"), ("track_id", "1"), ("import_key", "k")]
    body, headers = encoded([*fields, ("name_0", "Plum"), ("car_0", "1"), ("action", "keep")])
    kept = post_unchecked(client, KEEP, content=body, headers=headers)
    assert heading(kept) == "50000 runs kept on Fern Hill"


def post_unchecked(client: CheckedClient, address: str, **options: Any) -> httpx.Response:
    """Post without the checks of the answer."""
    answer: httpx.Response = super(CheckedClient, client).request("POST", address, **options)
    return answer


def test_without_a_track_there_is_nowhere_to_put_times(client: CheckedClient) -> None:
    assert 'href="/tracks/new"' in client.get("/clock/import").text
    assert keep(client, [("text", "a,b"), ("track_id", "x")]).status_code == 404


def test_a_timer_is_learned_and_its_lines_taken_once(
    client: CheckedClient, filled: BenchBook
) -> None:
    lines = "R01 L1 10.432\nR02 L1 10.518\nR03 L1 10.440\n"
    looked = client.post("/clock/lines", data={"lines": lines, "action": "look"})
    fields = dict(form_fields(looked.text, "/clock/lines"))
    # R 01 L 1 10.432
    assert fields["piece_4"] == "time"
    fields |= {"piece_3": "lane"}
    read = client.post("/clock/lines", data={**fields, "action": "look"})
    assert "lane 1: 10.518 s" in read.text
    named = {**fields, "name": "Gate box", "action": "keep"}
    assert client.post("/clock/lines", data=named).status_code == 303
    assert client.post("/clock/lines", data={**named, "name": ""}).status_code == 422
    outing = list_outings(filled)[0]
    taken = {"rule": "Gate box", "lines": f"{lines}garbage\nR04 L1\n"}
    for _ in range(2):
        answer = client.post(f"/clock/{outing.outing.id}/lines", data=taken)
        assert answer.status_code == 303, answer.text
    assert list_outings(filled)[0].run_count == outing.run_count + 3
    nothing = client.post(f"/clock/{outing.outing.id}/lines", data={**taken, "lines": "hello"})
    assert nothing.status_code == 422
    assert client.post("/clock/lines", data={"lines": "", "action": "look"}).status_code == 422
