"""Builds and the drawer in a real browser: usable by anyone, and nothing typed is lost."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Browser, Page, expect

from hillbench.usecases.work_step import StepEntry, check_off, turn_to
from tests.browser.anyone import open_all_details, require_for_anyone
from tests.browser.conftest import WIDE, LiveApp, Watched, open_context
from tests.usecases.builds import Bench, begun, bench

PATHS = (
    "/drawer",
    "/drawer/new?kind=ballast%20piece",
    "/builds/1",
    "/builds/1/work",
    "/builds/1/ledger",
    "/builds/1/steps/5/edit",
    "/cars/1/builds/new",
)


@pytest.fixture(scope="module")
def on(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    """A bench with a build of which a step rests."""
    with bench(tmp_path_factory.mktemp("builds")) as opened:
        now = datetime.now(UTC)
        build_id = begun(opened, meet_at=now.replace(year=now.year + 1, day=1))
        for key, readings in (("weigh bare", (37.2,)), ("decals", ()), ("fit 1", (51.37,))):
            entry = StepEntry("noted", readings, 0.01, anyway=True)
            check_off(opened.book, opened.step(build_id, key).id, entry, now)
        yield opened


@pytest.fixture(scope="module")
def live(on: Bench) -> Iterator[LiveApp]:
    with LiveApp(on.book) as app:
        yield app


def _settle(page: Page) -> None:
    page.wait_for_load_state("networkidle")
    open_all_details(page)


@pytest.mark.parametrize("path", PATHS)
def test_anyone_can_use_it_on_any_screen(browser: Browser, live: LiveApp, path: str) -> None:
    require_for_anyone(browser, f"{live.address}{path}", _settle)


def test_a_wait_runs_down_and_what_is_typed_outlives_the_page(
    browser: Browser, live: LiveApp, on: Bench
) -> None:
    turn_to(on.book, 1, "decals", datetime.now(UTC))
    with open_context(browser, WIDE) as context:
        watched = Watched(context.new_page())
        page = watched.page
        page.goto(f"{live.address}/builds/1/work")
        first = page.locator("[data-clock]").inner_text()
        assert first.startswith("11:5")
        expect(page.locator("[data-clock]")).not_to_have_text(first, timeout=5000)
        page.get_by_label("Note").fill("second door still")
        expect(page.locator("[data-kept]")).to_have_text("What you typed is kept.")
        page.goto("about:blank")  # as a power cut would: nothing was sent by hand
        page.goto(f"{live.address}/builds/1/work")
        expect(page.get_by_label("Note")).to_have_value("second door still")
        assert watched.complaints == []
