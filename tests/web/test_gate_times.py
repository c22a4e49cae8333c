"""Gate times at the Clock: typed with the run, shown, corrected, refused beside their field."""

from __future__ import annotations

import dataclasses

import pytest

from hillbench.records.bench_book import BenchBook
from hillbench.records.outing_store import list_outing_runs
from hillbench.records.track_store import TrackState
from hillbench.usecases.begin_outing import begin_outing
from hillbench.usecases.save_track import save_track
from tests.browser.clock_seed import LONG_HILL, fill_clock
from tests.web.conftest import NOW, CheckedClient

ENTRY = {"car_id": "1", "finish_time_s": "10.43", "note": "clean"}


@pytest.fixture
def outing(book: BenchBook) -> int:
    """The number of an outing on the hill with gates at 6 m and 12 m."""
    fill_clock(book, months=1, pairs=1)
    gated = TrackState(dataclasses.replace(LONG_HILL, gates_at_m=(6.0, 12.0)), 0.008, 0.2)
    save_track(book, "Fern Hill", "", gated, NOW, track_id=1)
    return begin_outing(book, 1, (1, 2), 1, NOW).id


def gates_of(book: BenchBook, outing: int) -> list[tuple[float | None, ...]]:
    with book.read() as session:
        return [run.gate_times_s for run in list_outing_runs(session, [outing])]


def test_gates_are_typed_shown_and_corrected(
    client: CheckedClient, book: BenchBook, outing: int
) -> None:
    page = client.get(f"/clock/{outing}").text
    assert "Gate 1, 6 m" in page
    answer = client.post(
        f"/clock/{outing}/runs", data={**ENTRY, "gate_1": "3,21", "gate_2": "6.540"}
    )
    assert answer.status_code == 303
    assert gates_of(book, outing) == [(3.21, 6.54)]
    assert "Gates 3.210, 6.540&nbsp;s." in client.get(f"/clock/{outing}").text
    run = int(client.get(f"/clock/{outing}").text.split('href="/clock/runs/')[1].split('"')[0])
    form = client.get(f"/clock/runs/{run}").text
    assert (
        'name="gate_2" type="text" inputmode="decimal" autocomplete="off" maxlength="12" ' in form
    )
    assert 'value="6.54"' in form
    client.post(f"/clock/runs/{run}", data={**ENTRY, "gate_1": "3.21", "gate_2": ""})
    assert gates_of(book, outing) == [(3.21, None)]
    assert "3.210, 6.540&nbsp;s" in client.get(f"/clock/runs/{run}").text  # what it said before


def test_gates_of_a_run_off_the_track_are_kept_without_its_time(
    client: CheckedClient, book: BenchBook, outing: int
) -> None:
    entry = {**ENTRY, "note": "off track", "gate_1": "3.1", "gate_2": ""}
    client.post(f"/clock/{outing}/runs", data=entry)
    assert gates_of(book, outing) == [(3.1, None)]


@pytest.mark.parametrize(
    ("gates", "told"),
    [
        ({"gate_1": "fast", "gate_2": ""}, "A gate time is &#39;fast&#39;"),
        ({"gate_1": "7", "gate_2": "6.5"}, "6.5 s at gate 2; allowed is after gate 1 (7 s)"),
        ({"gate_1": "3", "gate_2": "11"}, "11 s at gate 2; allowed is before the finish (10.43 s)"),
    ],
)
def test_a_gate_time_that_cannot_be_is_told_and_nothing_is_lost(
    client: CheckedClient, book: BenchBook, outing: int, gates: dict[str, str], told: str
) -> None:
    answer = client.post(f"/clock/{outing}/runs", data={**ENTRY, **gates})
    assert answer.status_code == 422
    assert told in answer.text
    assert f'value="{gates["gate_1"]}"' in answer.text
    assert gates_of(book, outing) == []


def test_a_track_without_gates_asks_for_none(client: CheckedClient, book: BenchBook) -> None:
    fill_clock(book, months=1, pairs=1)
    assert "gate_1" not in client.get("/clock/1").text


def test_columns_of_gates_are_chosen_in_order(
    client: CheckedClient, book: BenchBook, outing: int
) -> None:
    table = "who;a;b;t\nPlum;3.2;6.5;10.4\nPlum;3.3;6.6;10.5\n"
    look = {"text": table, "track_id": "1", "import_key": "k", "time_unit": "s"}
    chosen = {f"column_{n}": m for n, m in enumerate(("car", "gate", "gate", "time"))}
    form = {**look, **chosen, "has_heading": "yes", "name_0": "Plum", "car_0": "1"}
    kept = client.post("/clock/import/keep", data={**form, "action": "keep"})
    assert kept.status_code == 200
    assert "2 runs" in kept.text
    assert gates_of(book, outing + 1) == [(3.2, 6.5), (3.3, 6.6)]
