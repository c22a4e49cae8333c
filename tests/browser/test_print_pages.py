"""A screw in a post and what is printed, in a real browser."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.anyone import open_all_details, require_for_anyone
from tests.browser.conftest import NARROW, WIDE, LiveApp, Watched, open_context
from tests.usecases.builds import begun, bench

PATHS = ("/bench/thread", "/builds/1/prints", "/drawer/labels?item=1")


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveApp]:
    """The app on a bench with a build in hand and a filled drawer."""
    with bench(tmp_path_factory.mktemp("shop") / "bench") as held:
        assert begun(held) == 1
        with LiveApp(held.book) as app:
            yield app


@pytest.mark.parametrize("path", PATHS)
def test_anyone_can_use_it_on_any_screen(browser: Browser, shop: LiveApp, path: str) -> None:
    require_for_anyone(browser, f"{shop.address}{path}", _settle)


def _settle(page: Page) -> None:
    page.wait_for_load_state("networkidle")
    open_all_details(page)


def test_a_fraction_in_a_field_of_mm_is_asked_about(browser: Browser, shop: LiveApp) -> None:
    with open_context(browser, NARROW, script=False) as context:
        page = context.new_page()
        page.goto(f"{shop.address}/bench/thread")
        page.get_by_label("Thickness of the base").fill("5/64")
        page.get_by_role("button", name="Work it out").click()
        expect(page.locator("#thread-problems")).to_contain_text("did you mean 5/64 in")
        page.get_by_label("Thickness of the base").fill("5/64 in")
        page.get_by_role("button", name="Work it out").click()
        expect(page.get_by_role("heading", level=1)).to_contain_text("2-56 in a #50 hole")


def test_the_sheet_is_seen_before_it_is_printed(browser: Browser, shop: LiveApp) -> None:
    with open_context(browser, WIDE) as context:
        watched = Watched(context.new_page())
        page = watched.page
        page.goto(f"{shop.address}/builds/1/prints?paper=Letter")
        page.wait_for_load_state("networkidle")
        for picture in (".print-preview img", ".share-preview"):
            page.locator(picture).scroll_into_view_if_needed()
            page.wait_for_function(
                "name => document.querySelector(name).naturalWidth > 0", arg=picture
            )
        assert watched.complaints == []
