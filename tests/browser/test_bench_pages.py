"""The bench, cars, guide and preferences in a real browser."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.anyone import open_all_details, require_for_anyone, require_usable
from tests.browser.conftest import NARROW, WIDE, LiveApp, Watched, open_context

PATHS = (
    "/",
    "/cars",
    "/cars/new",
    "/cars/1",
    "/cars/3",
    "/cars/1/edit",
    "/removed",
    "/preferences",
    "/guide/first-hour",
    "/guide/what-the-numbers-mean",
)


@pytest.fixture
def watched(browser: Browser) -> Iterator[Watched]:
    """A page on a laptop that must not complain."""
    with open_context(browser, WIDE) as context:
        watching = Watched(context.new_page())
        yield watching
        assert watching.complaints == []


@pytest.mark.parametrize("path", PATHS)
def test_anyone_can_use_it_on_any_screen(browser: Browser, live: LiveApp, path: str) -> None:
    require_for_anyone(browser, f"{live.address}{path}", _settle)


def _settle(page: Page) -> None:
    expect(page.locator(".htmx-request")).to_have_count(0)
    open_all_details(page)


@pytest.mark.parametrize("path", ["/nowhere", "/cars/999"])
def test_error_pages_too(browser: Browser, live: LiveApp, path: str) -> None:
    with open_context(browser, NARROW, dark=True) as context:
        page = context.new_page()
        page.goto(f"{live.address}{path}")
        require_usable(page, NARROW[0])


def test_predicted_times_arrive_on_the_bench(watched: Watched, live: LiveApp) -> None:
    watched.page.goto(live.address)
    expect(watched.page.locator("#times-1 .predicted")).to_contain_text("s", timeout=60_000)


def test_a_weighing_stays_on_the_page_and_tells_what_is_wrong(
    browser: Browser, live: LiveApp
) -> None:
    with open_context(browser, WIDE) as context:
        page = context.new_page()
        page.goto(f"{live.address}/cars/2")
        page.get_by_text("Weigh it again").click()
        page.get_by_label("Readings of the scale").fill("3700")
        page.evaluate("window.stays = true")
        page.get_by_role("button", name="Keep this weighing").click()
        summary = page.locator("#weigh-problems")
        expect(summary).to_contain_text("check the decimal point")
        expect(summary).to_be_focused()
        page.get_by_label("Readings of the scale").fill("37.00 37.02")
        page.keyboard.press("Enter")
        expect(page.locator("#mass .big-number")).to_contain_text("37.010")
        expect(page.locator("#messages")).to_contain_text("It weighs 37.010")
        expect(page.locator("#history")).to_contain_text("2 readings")
        assert page.evaluate("window.stays") is True
        page.locator("#messages").get_by_role("button", name="Undo").click()
        expect(page.locator("#mass .big-number")).not_to_contain_text("37.010")


def test_it_works_without_script(browser: Browser, live: LiveApp) -> None:
    with open_context(browser, NARROW, script=False) as context:
        page = context.new_page()
        page.goto(f"{live.address}/cars/2")
        page.get_by_label("Wheelbase").fill("1 1/2 in")
        page.get_by_role("button", name="Keep these readings").click()
        expect(page.locator("#messages")).to_contain_text("1 reading kept")
        expect(page.locator("#measures")).to_contain_text("38.1")
        page.get_by_role("button", name="Remove this car").click()
        expect(page).to_have_url(f"{live.address}/cars")
        page.get_by_role("button", name="Undo").click()
        expect(page.get_by_role("link", name="Plum")).to_be_visible()


def test_the_keyboard_reaches_everything_in_order(watched: Watched, live: LiveApp) -> None:
    page = watched.page
    page.goto(f"{live.address}/preferences")
    reached = []
    for _ in range(20):
        page.keyboard.press("Tab")
        reached.append(
            page.evaluate(
                "document.activeElement.textContent.trim() || document.activeElement.name"
            )
        )
    places = ["Bench", "Cars", "Tracks", "Clock", "Drawer", "Meets"]
    order = ["Skip to the page", "Hillbench", *places, "Guide"]
    assert reached[: len(order)] == order
    assert "mass_unit" in reached
    assert "Keep these" in reached
    page.goto(f"{live.address}/preferences")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"


def test_dark_can_be_chosen(watched: Watched, live: LiveApp) -> None:
    page = watched.page
    page.goto(f"{live.address}/preferences")
    assert _paper(page) == "rgb(247, 242, 232)"
    page.get_by_label("dark").check()
    page.get_by_role("button", name="Keep these").click()
    expect(page.locator("#messages")).to_contain_text("kept on this device")
    assert _paper(page) == "rgb(23, 28, 31)"


def _paper(page: Page) -> str:
    colour: str = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    return colour
