"""Outings on the pages of cars and tracks, and whether a change helped."""

from __future__ import annotations

import pytest

from hillbench.records.bench_book import BenchBook
from tests.browser.clock_seed import fill_clock
from tests.web.conftest import CheckedClient


@pytest.fixture(autouse=True)
def filled(book: BenchBook) -> None:
    """Four outings; Plum is 0.05 s faster in the last two."""
    fill_clock(book)


def test_a_car_shows_its_outings_with_the_day(client: CheckedClient) -> None:
    page = client.get("/cars/1").text
    assert "Outings on Fern Hill" in page
    assert "A real difference here is about" in page
    assert page.count('href="/clock/4"') == 1
    assert "20 °C, 48 % humidity, track not cleaned, graphite, 5 days" in page
    assert "is its best time here" in page
    assert 'data-mark="outing"' in page


def test_a_track_shows_its_record_and_repeatability(client: CheckedClient) -> None:
    page = client.get("/tracks/1").text
    assert 'is the track record, by <a href="/cars/1">Plum</a>' in page
    assert "Spread of one run, month by month" in page
    assert "Nov 2025" in page


def test_pages_without_an_outing_have_no_such_section(client: CheckedClient) -> None:
    assert "Outings on" not in client.get("/cars/4").text
    answer = client.get("/cars/4/on/1/gain")
    assert "has no outing on this track yet" in answer.text


def test_the_last_two_outings_are_judged_first(client: CheckedClient) -> None:
    page = client.get("/cars/1/on/1/gain").text
    assert 'name="outing_4" value="after" checked' in page
    assert 'name="outing_3" value="before" checked' in page


def test_a_change_is_judged_by_the_outings_chosen(client: CheckedClient) -> None:
    address = "/cars/1/on/1/gain"
    asked = "?outing_1=before&outing_2=before&outing_3=after&outing_4=after"
    page = client.get(f"{address}{asked}").text
    # 4 + 3 runs before (one went off the track), 4 + 4 after; beside them 8, 4, 8 and 4.
    assert "7 runs before, 8 after, 24 of other cars beside them" in " ".join(page.split())
    assert "Choose an outing before the change" in client.get(f"{address}?outing_1=before").text
    nonsense = client.get(f"{address}?outing_99=before&outing_x=after&outing_1=what").text
    assert "Choose an outing before the change" in nonsense


@pytest.mark.parametrize("address", ["/cars/99/on/1/gain", "/cars/1/on/99/gain"])
def test_addresses_of_nothing(client: CheckedClient, address: str) -> None:
    assert client.get(address).status_code == 404
