"""The pages of the Clock in a real browser: for everyone, on any screen, with no complaint."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from hillbench.records.bench_book import BenchBook
from tests.browser.anyone import require_for_anyone, require_usable
from tests.browser.clock_seed import fill_clock
from tests.browser.conftest import NARROW, WIDE, LiveApp, Watched, open_context

OUTING = "/clock/4"
PATHS = (
    *("/clock", OUTING, f"{OUTING}/day", f"{OUTING}/lines"),
    *("/clock/runs/1", "/clock/import", "/clock/lines"),
    *("/tracks/1", "/cars/1/on/1/gain"),
)
TABLE = "Car;Time;Lane\nPlum;10,41;1\nGrey no. 3;10,52;2\nPlum;banana;2\n"
LINES = "R01 L1 10.432 P1\nR02 L2 10.518 P2\nR03 L1 10.440 P1\n"
LEAST_KEY_PX = 44


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchBook]:
    """A bench book with a hill, cars and a few outings."""
    with BenchBook.open(Path(tmp_path_factory.mktemp("clock"))) as opened:
        fill_clock(opened)
        yield opened


def require_fine(watched: Watched, width_px: int) -> None:
    """Fail where a page is too wide, not for everyone, or something complained."""
    require_usable(watched.page, width_px)
    assert watched.complaints == []


@pytest.mark.parametrize("path", PATHS)
def test_anyone_can_use_it_on_any_screen(browser: Browser, live: LiveApp, path: str) -> None:
    require_for_anyone(browser, f"{live.address}{path}")


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
def test_a_table_is_read_confirmed_and_corrected(
    browser: Browser, live: LiveApp, size: tuple[int, int]
) -> None:
    with open_context(browser, size) as context:
        watched = Watched(context.new_page())
        page = watched.page
        page.goto(f"{live.address}/clock/import")
        page.get_by_label("Paste the cells").fill(TABLE.replace("10,4", f"10,{size[0] % 7}"))
        page.get_by_role("button", name="See how it is read").click()
        expect(page.locator("select[name=column_1]")).to_have_value("time")
        require_fine(watched, size[0])
        page.get_by_role("button", name="Keep 2 runs").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("2 runs kept on Fern Hill")
        require_fine(watched, size[0])
        row = page.get_by_label("Row 4")
        row.fill((row.input_value()).replace("banana", "10,44"))
        page.get_by_role("button", name="Keep the corrected rows").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("1 run kept on Fern Hill")
        expect(page.locator("main")).to_contain_text("Every row could be used.")


def test_a_timer_is_learned_from_marked_lines(browser: Browser, live: LiveApp) -> None:
    with open_context(browser, NARROW) as context:
        watched = Watched(context.new_page())
        page = watched.page
        page.goto(f"{live.address}/clock/lines")
        page.get_by_label("Three lines").fill(LINES)
        page.get_by_role("button", name="Next").click()
        # R 01 L 1 10.432 P 1: the time is guessed, lane and place are marked.
        expect(page.locator("select[name=piece_4]")).to_have_value("time")
        page.locator("select[name=piece_3]").select_option("lane")
        page.locator("select[name=piece_6]").select_option("place")
        page.get_by_role("button", name="See what it reads").click()
        expect(page.locator("main")).to_contain_text("lane 2: 10.518 s, place 2")
        require_fine(watched, NARROW[0])
        page.get_by_label("Remember it as").fill("Gate box")
        page.get_by_role("button", name="Remember").click()
        expect(page.locator("main")).to_contain_text("Gate box")


def test_the_keys_are_large_and_in_sight_without_scrolling(browser: Browser, live: LiveApp) -> None:
    with open_context(browser, (390, 664)) as context:
        page = context.new_page()
        page.goto(f"{live.address}{OUTING}")
        bar = page.locator(".places").bounding_box()
        assert bar is not None
        for key in page.locator("#clock-pad .key:visible, .ends .key:visible").all():
            box = key.bounding_box()
            assert box is not None
            assert min(box["width"], box["height"]) >= LEAST_KEY_PX
            assert box["y"] + box["height"] <= bar["y"]


def test_it_works_without_script(browser: Browser, live: LiveApp) -> None:
    with open_context(browser, NARROW, script=False) as context:
        page = context.new_page()
        page.goto(f"{live.address}/clock")
        page.get_by_text("Plum", exact=True).click()
        page.get_by_text("Blue Finch", exact=True).click()
        page.get_by_role("button", name="Begin").click()
        field = page.get_by_label("Time in seconds")
        field.fill("10.31")
        field.press("Enter")
        expect(page.locator(".runs li")).to_have_count(1)
        expect(page.locator(".turn-car")).to_have_text("Blue Finch")
        field.fill("1044")
        page.get_by_role("button", name="Keep", exact=True).click()
        expect(page.locator("#entry-problems")).to_contain_text("was 10.44 s meant?")
        expect(field).to_have_value("1044")
        field.fill("10.44")
        page.get_by_role("button", name="Keep", exact=True).click()
        expect(page.locator(".runs li")).to_have_count(2)
        page.get_by_role("button", name="Undo last").click()
        expect(page.locator(".runs li")).to_have_count(1)
