"""Race day in a real browser: a phone that loses the network, a board that keeps itself fresh."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from hillbench.racing.meet_event import EventKind
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.read_meet import read_meet
from tests.browser.anyone import open_all_details, require_for_anyone
from tests.browser.conftest import NARROW, WIDE, LiveApp, Watched, open_context
from tests.usecases.meets import open_meet, run_next


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchBook]:
    """A bench book with a drawn meet."""
    with BenchBook.open(Path(tmp_path_factory.mktemp("meet"))) as opened:
        open_meet(opened)
        yield opened


def test_a_phone_that_loses_the_network_catches_up_and_the_board_follows(
    browser: Browser, live: LiveApp, book: BenchBook
) -> None:
    with open_context(browser, NARROW) as phone, open_context(browser, WIDE) as wall:
        board = Watched(wall.new_page())
        board.page.goto(f"{live.address}/meets/1/board")
        page = phone.new_page()
        page.goto(f"{live.address}/meets/1/run")
        page.get_by_role("button", name="Start heat 1").click()
        expect(page.locator(".now-word")).to_have_text("On the track")
        expect(board.page.locator("#board")).to_contain_text("Now racing", timeout=15000)
        phone.set_offline(True)
        for lane, text in enumerate(("10.41", "10.52", "10.63"), start=1):
            page.locator(f"#told-lane_{lane}").fill(text)
        page.get_by_role("button", name="Keep heat 1").click()
        expect(page.locator("#meet-waits")).to_contain_text("Heat 1: kept on this device")
        assert read_meet(book, 1).state.heats[1].missing == (1, 2, 3)
        phone.set_offline(False)
        expect(page.locator("#now h2")).to_have_text("Heat 2", timeout=20000)
        expect(board.page.locator("#board")).to_contain_text("10.410 s", timeout=15000)
        kinds = [event.kind for event in read_meet(book, 1).events]
        assert kinds.count(EventKind.TIMES) == 1
        assert board.complaints == []


def test_a_second_phone_follows_unless_something_is_typed_there(
    browser: Browser, live: LiveApp, book: BenchBook
) -> None:
    with open_context(browser, NARROW) as idle, open_context(browser, NARROW) as typing:
        follower, writer = idle.new_page(), typing.new_page()
        for page in (follower, writer):
            page.goto(f"{live.address}/meets/1/run")
        heat = follower.locator("#now h2").inner_text()
        writer.locator("#told-lane_1").fill("10.9")
        run_next(book, 1)
        expect(follower.locator("#now h2")).not_to_have_text(heat, timeout=20000)
        assert writer.locator("#now h2").inner_text() == heat
        assert writer.locator("#told-lane_1").input_value() == "10.9"


def test_the_stopwatch_fills_a_lane(browser: Browser, live: LiveApp) -> None:
    with open_context(browser, NARROW) as phone:
        page = phone.new_page()
        page.goto(f"{live.address}/meets/1/run")
        page.get_by_role("button", name="Start the stopwatch").click()
        page.get_by_role("button", name="Stop lane 2").click()
        assert 0.0 <= float(page.locator("#told-lane_2").input_value()) < 60.0


@pytest.fixture(scope="module")
def raced(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveApp]:
    """The app on a meet of which a heat is run."""
    with BenchBook.open(Path(tmp_path_factory.mktemp("raced"))) as opened:
        open_meet(opened)
        run_next(opened, 1)
        with LiveApp(opened) as running:
            yield running


@pytest.mark.parametrize(
    "path", ["/run", "/board", "/scrutiny/1", "/results", "/draw", "/people", "", "/heats/1"]
)
def test_every_page_is_for_anyone(browser: Browser, raced: LiveApp, path: str) -> None:
    require_for_anyone(browser, f"{raced.address}/meets/1{path}", open_all_details)
