"""What a hill is made of, what would help a car, and how forecasts turned out: the pages."""

from __future__ import annotations

import re
import time
from datetime import timedelta
from decimal import Decimal

import pytest

from hillbench.racing.class_rules import ClassRules, Limit
from hillbench.records.bench_book import BenchBook
from hillbench.records.drawer_entities import ItemEntry, ItemKind, StockUnit
from hillbench.records.meet_store import keep_class
from hillbench.usecases.note_run import note_run
from hillbench.usecases.save_drawer_item import save_drawer_item
from hillbench.usecases.save_track import save_track
from hillbench.usecases.weigh_car import weigh_car
from hillbench.web.fit_jobs import FitJobs, JobState
from tests.usecases.hill_runs import STATE, add_car, add_hill, days, fill_hill
from tests.web.conftest import NOW, CheckedClient

HELP = "/cars/1/on/1/help"
MADE_OF = "/tracks/1/made-of"


def ready(client: CheckedClient, address: str) -> str:
    """Return a page once its fit is done."""
    for _ in range(300):
        text: str = client.get(address).text
        if 'id="fit-progress"' not in text:
            return text
        time.sleep(0.2)
    raise AssertionError("the fit took more than a minute")


def jobs_of(client: CheckedClient) -> FitJobs:
    """Return the fits of the app."""
    jobs: FitJobs = client.app.state.fit_jobs  # type: ignore[attr-defined]
    return jobs


def hold(monkeypatch: pytest.MonkeyPatch) -> list[bool]:
    """Make every fit wait until the list that is returned is emptied."""
    waiting = [True]

    def slow(_gathered: object, progress: object) -> object:
        while waiting:
            progress(0.25)  # type: ignore[operator]
            time.sleep(0.01)
        raise ZeroDivisionError

    monkeypatch.setattr("hillbench.web.fits.fit_gathered", slow)
    return waiting


def test_a_hill_without_runs_says_what_to_do(client: CheckedClient, book: BenchBook) -> None:
    add_hill(book)
    text = client.get(MADE_OF).text
    assert "No run was timed here yet" in text
    assert 'href="/clock?track=1"' in text
    assert client.get("/tracks/7/made-of").status_code == 404


def test_what_a_hill_is_made_of(client: CheckedClient, book: BenchBook) -> None:
    fill_hill(book)
    text = ready(client, MADE_OF)
    assert "From 16 runs and 2 tests" in text
    assert "Kettle &lt;&amp;&gt;" in text
    assert "<&>" not in text
    for heading in ("The hill", "What each car loses", "Known", "Not known yet", "How the times"):
        assert heading in text
    assert "would tell most." in text
    assert text.count('data-mark="after"') >= 3 * 3  # three rows in three widths at least


def test_the_answer_is_kept_and_a_new_run_asks_again(
    client: CheckedClient, book: BenchBook, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill_hill(book)
    first = ready(client, MADE_OF)
    other = CheckedClient(client.app)
    monkeypatch.setattr(other.app.state, "fit_jobs", FitJobs())  # type: ignore[attr-defined]
    monkeypatch.setattr("hillbench.web.fits.fit_gathered", None)  # never computed again
    assert ready(other, MADE_OF) == first
    note_run(book, 1, 1, 4.4, "clean", days(6))
    job_text = client.get(MADE_OF).text
    assert "This could not be worked out" in job_text


def test_versions_of_a_track_are_fitted_apart(client: CheckedClient, book: BenchBook) -> None:
    fill_hill(book)
    steeper = STATE.__class__(STATE.track, 0.014, 0.2)
    save_track(book, "Cellar Stair", "", steeper, days(6), track_id=1)
    text = ready(client, MADE_OF)
    assert "The track was edited on 7 Mar 2026 and no run was timed on it since" in text
    for day in (7, 8):
        note_run(book, 1, 1, 4.5, "clean", days(day))
    assert "From 2 runs" in ready(client, MADE_OF)
    assert "From 16 runs" in ready(client, f"{MADE_OF}?version=1")
    assert client.get(f"{MADE_OF}?version=9").status_code == 404


def test_a_long_fit_shows_how_far_it_is_and_can_be_stopped(
    client: CheckedClient, book: BenchBook, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill_hill(book)
    waiting = hold(monkeypatch)
    text = client.get(MADE_OF).text
    found = re.search(r"/fits/([0-9a-f]{64})/stop", text)
    assert found is not None
    fit = f"/fits/{found[1]}"
    assert f'hx-get="{fit}"' in text
    assert f'href="{MADE_OF}"' in text  # without script
    part = client.htmx("GET", fit)
    assert "25 %" in part.text
    assert "<html" not in part.text
    stopped = client.post(f"{fit}/stop")
    assert (stopped.status_code, stopped.headers["location"]) == (303, fit)
    assert "Begin again" in client.get(fit).text
    assert "Begin again" in client.get(MADE_OF).text
    waiting.clear()
    monkeypatch.undo()
    again = client.post(f"{fit}/again")
    assert again.headers["location"] == MADE_OF
    assert "From 16 runs" in ready(client, MADE_OF)
    assert client.get(fit).headers["location"] == MADE_OF
    assert client.htmx("GET", fit).headers["hx-redirect"] == MADE_OF


def test_a_fit_that_is_unknown_leads_nowhere(client: CheckedClient) -> None:
    assert client.get("/fits/none").status_code == 404
    assert client.post("/fits/none/stop").status_code == 404
    assert client.post("/fits/none/again").status_code == 404


def test_what_would_help_a_car(client: CheckedClient, book: BenchBook) -> None:
    fill_hill(book)
    text = ready(client, HELP)
    assert "From 8 runs of this car" in text
    assert "typical time as it is" in text
    assert "bring the bearings to “graphite”" in text.replace("B", "b")
    assert "% to reach" not in text
    text = ready(client, f"{HELP}?target_time_s=4.2&mass_limit_g=55")
    assert "% to reach 4.2\N{NO-BREAK SPACE}s" in text
    assert "Add weight up to 54.95 g" in text
    assert 'value="4.2"' in text


def test_another_wish_does_not_fit_again(
    client: CheckedClient, book: BenchBook, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill_hill(book)
    ready(client, HELP)
    monkeypatch.setattr("hillbench.web.fits.fit_gathered", None)  # a fit would fail
    other = CheckedClient(client.app)
    monkeypatch.setattr(other.app.state, "fit_jobs", FitJobs())  # type: ignore[attr-defined]
    for query in ("target_time_s=4.2", "mass_limit_g=55", "rank=gain+per+minute", "air_min=3"):
        assert "What you are after" in other.get(f"{HELP}?{query}").text.replace("<br>", " ")
    assert "could not be worked out" not in other.get(MADE_OF).text


def test_changes_cost_minutes_and_what_the_drawer_says(
    client: CheckedClient, book: BenchBook
) -> None:
    fill_hill(book)
    item = ItemEntry(
        ItemKind.BALLAST_PIECE, "Putty", "", StockUnit.GRAM, Decimal("0.05"), "", None,
        {"size_mm": [10.0, 10.0, 3.0], "mass_g": 1.0},
    )  # fmt: skip
    save_drawer_item(book, item, days(4))
    text = ready(client, f"{HELP}?weight_min=7")
    facts = re.findall(r'<p class="takes">(.*?)</p>', text)
    heavier = next(told for told in facts if "Putty" in told)
    assert "7\N{NO-BREAK SPACE}min" in heavier
    assert "EUR 0.50 (10.0\N{NO-BREAK SPACE}g of Putty, to be bought)" in heavier
    assert 'name="weight_min" value="7"' in text  # sent along when a forecast is kept
    by_minute = text[text.index("Most gain for each minute") - 200 :]
    assert "weight_min=7&amp;rank=gain+per+minute" in by_minute
    for address in ("/clock?track=1&amp;car=1", "/cars/1#mass", "/cars/1/tests#"):
        assert f'href="{address}' in text


def test_a_class_sets_the_limits(client: CheckedClient, book: BenchBook) -> None:
    fill_hill(book)
    assert "No class" not in ready(client, HELP)
    limits = (Limit("mass_g", None, 52.0), Limit("wheel_diameter_mm", 9.0, 11.0))
    with book.write() as session:
        kept = keep_class(session, None, "Cellar Stock", "", ClassRules(limits), days(4))
    text = ready(client, f"{HELP}?race_class={kept.id}")
    assert "Add weight up to 51.95 g" in text
    assert f'<option value="{kept.id}" selected>Cellar Stock</option>' in text
    assert "Add weight up to 49.95 g" in ready(
        client, f"{HELP}?race_class={kept.id}&mass_limit_g=50"
    )


@pytest.mark.parametrize(
    ("query", "told"),
    [
        ("target_time_s=soon", "Target time is &#39;soon&#39;"),
        ("target_time_s=-3", "Target time is -3 s; allowed is between 0.01 and 3600 s"),
        ("mass_limit_g=9999999", "Most mass allowed is"),
        ("target_time_s=1e999", "Target time is"),
        ("axles_min=-3", "Straighten axles is -3 min; allowed is between 0 and 10000 min"),
    ],
)
def test_a_wish_that_cannot_be_is_told_and_kept(
    client: CheckedClient, book: BenchBook, query: str, told: str
) -> None:
    fill_hill(book)
    response = client.get(f"{HELP}?{query}")
    assert response.status_code == 422
    assert told in response.text
    assert f'value="{query.partition("=")[2]}"' in response.text


def test_a_forecast_is_kept_done_and_scored(client: CheckedClient, book: BenchBook) -> None:
    fill_hill(book)
    assert "No forecast has been held against the clock yet" in client.get("/forecasts").text
    text = ready(client, HELP)
    keys = re.findall(r'name="fit_key" value="([0-9a-f]{64})"', text)
    assert keys
    sent = {"fit_key": keys[0], "change": "0", "target_time_s": "", "mass_limit_g": ""}
    kept = client.post(HELP, data=sent)
    assert (kept.status_code, kept.headers["location"]) == (303, "/forecasts#forecast-1")
    board = client.get("/forecasts").text
    assert "I have made the change" in board
    assert client.post("/forecasts/1/done").status_code == 303
    assert "Time it" in client.get("/forecasts").text
    for number in range(4):
        at = NOW + timedelta(minutes=3 + number)
        note_run(book, 1, 1, 4.3, "clean", at)
        note_run(book, 1, 2, 4.4, "clean", at + timedelta(seconds=30))
    board = client.get("/forecasts").text
    assert "The clock says it" in board
    assert "90 % intervals held" in board
    assert client.post("/forecasts/1/undone").status_code == 303
    assert client.post("/remove/forecast/1", data={"back": "/forecasts"}).status_code == 303
    assert "None yet" in client.get("/forecasts").text
    assert client.post("/forecasts/9/done").status_code == 404


def test_a_forecast_of_an_older_advice_is_not_kept(client: CheckedClient, book: BenchBook) -> None:
    fill_hill(book)
    key = re.findall(r'name="fit_key" value="([0-9a-f]{64})"', ready(client, HELP))[0]
    weigh_car(book, 1, [52.0], 0.01, days(6))
    for sent in ({"fit_key": key, "change": "0"}, {"fit_key": "x", "change": "0"}, {}):
        response = client.post(HELP, data=sent)
        assert response.status_code == 422
        assert "look at the advice again, then keep it" in response.text
    assert "None yet" in client.get("/forecasts").text


def test_a_place_in_the_advice_that_is_none_is_refused(
    client: CheckedClient, book: BenchBook
) -> None:
    fill_hill(book)
    key = re.findall(r'name="fit_key" value="([0-9a-f]{64})"', ready(client, HELP))[0]
    for change in ("-1", "99", "first", ""):
        assert client.post(HELP, data={"fit_key": key, "change": change}).status_code == 422


def test_a_car_or_track_that_was_removed_has_no_advice(
    client: CheckedClient, book: BenchBook
) -> None:
    fill_hill(book)
    client.post("/remove/car/2")
    assert client.get("/cars/2/on/1/help").status_code == 404
    client.post("/remove/track/1")
    assert client.get(HELP).status_code == 404
    assert client.get(MADE_OF).status_code == 404


def test_a_car_that_never_ran_says_what_its_advice_rests_on(
    client: CheckedClient, book: BenchBook
) -> None:
    add_hill(book)
    add_car(book, "Guest", 33.0)
    text = ready(client, HELP)
    assert "This car has no timed run here yet" in text
    assert [job.state for job in jobs_of(client)._jobs.values()] == [JobState.DONE]


def test_pages_lead_to_them(client: CheckedClient, book: BenchBook) -> None:
    fill_hill(book)
    assert f'href="{MADE_OF}"' in client.get("/tracks/1").text
    assert f'href="{HELP}"' in client.get("/cars/1/on/1").text
    assert f'href="{HELP}"' in client.get("/cars/1").text
    assert "What to try next" in client.get("/guide/what-to-try-next").text
