"""The Clock on a phone: entries reach the bench book once and in order, whatever breaks."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Route, expect

from hillbench.records.bench_book import BenchBook
from tests.browser.clock_actions import begun, kept, key_in, told
from tests.browser.clock_seed import fill_clock
from tests.browser.conftest import NARROW, LiveApp, open_context
from tests.browser.program import Program


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchBook]:
    """A bench book with a hill, cars and a few outings."""
    with BenchBook.open(Path(tmp_path_factory.mktemp("clock"))) as opened:
        fill_clock(opened)
        yield opened


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    """A phone of its own."""
    with open_context(browser, NARROW) as context:
        yield context


def test_entries_wait_without_a_network_and_arrive_once_in_order(
    phone: BrowserContext, live: LiveApp, book: BenchBook
) -> None:
    outing = begun(book)
    page = phone.new_page()
    page.goto(f"{live.address}/clock/{outing}")
    phone.set_offline(True)
    for text in ("10.31", "10.42", "10.43"):
        key_in(page, text)
    page.get_by_role("button", name="Off track").click()
    expect(page.locator("#clock-waits")).to_contain_text("4 runs wait on this phone")
    # ABBABAAB: after ABBA the second car is next (order free of trend).
    expect(page.locator(".turn-car")).to_have_text("Grey no. 3")
    assert kept(book, outing) == []
    phone.set_offline(False)
    expect(page.locator("#clock-waits")).to_be_hidden(timeout=15000)
    expect(page.locator(".runs li")).to_have_count(4)
    assert told(book, outing) == [(1, 10.31), (2, 10.42), (2, 10.43), (1, None)]


def test_an_answer_that_is_lost_doubles_nothing(
    phone: BrowserContext, live: LiveApp, book: BenchBook
) -> None:
    outing = begun(book)
    page = phone.new_page()
    page.goto(f"{live.address}/clock/{outing}")
    lost: list[int] = []

    def lose_twice(route: Route) -> None:
        if len(lost) < 2:
            response = route.fetch()
            lost.append(response.status)
            route.abort()
        else:
            route.continue_()

    page.route(re.compile("/runs$"), lose_twice)
    key_in(page, "10.40")
    expect(page.locator(".runs li")).to_have_count(1, timeout=15000)
    assert lost == [200, 200]
    assert told(book, outing) == [(1, 10.40)]


def test_entries_outlive_the_death_of_the_app_and_of_the_page(
    browser: Browser, tmp_path: Path
) -> None:
    data = tmp_path / "bench"
    with BenchBook.open(data) as book:
        fill_clock(book, months=1)
        outing = begun(book)
    program = Program(data)
    program.start()
    try:
        with open_context(browser, NARROW) as context:
            page = context.new_page()
            page.goto(f"{program.address}/clock/{outing}")
            key_in(page, "10.31")
            expect(page.locator(".runs li")).to_have_count(1)
            # The page keeps itself for loading again a moment after the last change.
            page.wait_for_function("caches.match(location.pathname).then((kept) => Boolean(kept))")
            page.wait_for_timeout(2500)
            program.kill()
            for text in ("10.42", "10.43"):
                key_in(page, text)
            expect(page.locator("#clock-waits")).to_contain_text("2 runs wait")
            page.reload()
            expect(page.locator("#clock-waits")).to_contain_text("2 runs wait")
            expect(page.locator(".turn-car")).to_have_text("Plum")
            key_in(page, "10.33")
            expect(page.locator("#clock-waits")).to_contain_text("3 runs wait")
            page.close()
            program.start()
            page = context.new_page()
            page.goto(f"{program.address}/clock/{outing}")
            expect(page.locator(".runs li")).to_have_count(4, timeout=15000)
            expect(page.locator("#clock-waits")).to_be_hidden()
    finally:
        program.kill()
    with BenchBook.open(data) as book:
        assert told(book, outing) == [(1, 10.31), (2, 10.42), (2, 10.43), (1, 10.33)]


def test_two_phones_enter_at_once_and_see_each_other(
    browser: Browser, live: LiveApp, book: BenchBook
) -> None:
    outing = begun(book)
    with open_context(browser, NARROW) as one, open_context(browser, NARROW) as other:
        pages = [context.new_page() for context in (one, other)]
        for page in pages:
            page.goto(f"{live.address}/clock/{outing}")
        for number in range(3):
            for place, page in enumerate(pages):
                page.locator("#entry-finish_time_s").fill(f"10.{number}{place}")
            for page in pages:
                page.locator("#keep").click(no_wait_after=True)
        for page in pages:
            expect(page.locator(".runs li")).to_have_count(6, timeout=15000)
    runs = kept(book, outing)
    assert [run.number for run in runs] == [1, 2, 3, 4, 5, 6]
    times = [run.finish_time_s for run in runs]
    assert sorted(time for time in times if time) == [10.00, 10.01, 10.10, 10.11, 10.20, 10.21]
