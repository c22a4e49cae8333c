"""Fits, advice and forecasts in a real browser: seen on any screen, waited for, stopped."""

from __future__ import annotations

import re
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from hillbench.fitting.advice import Advice, Verdict
from hillbench.fitting.change import Change
from hillbench.fitting.forecast import Forecast
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.advise_car import Wish
from hillbench.usecases.gather_runs import gather_runs
from hillbench.usecases.keep_forecast import keep_forecast, mark_change_done
from hillbench.usecases.kept_fit import fit_gathered
from hillbench.usecases.note_run import note_run
from tests.browser.anyone import open_all_details, require_for_anyone, require_usable
from tests.browser.conftest import NARROW, WIDE, LiveApp, Watched, open_context
from tests.browser.test_hill_pages import _TEXT_BOXES, overlap_px
from tests.usecases.hill_runs import days, fill_hill

MADE_OF = "/tracks/1/made-of"
HELP = "/cars/1/on/1/help?target_time_s=4.3&mass_limit_g=60"
PATHS = (MADE_OF, HELP, "/forecasts")
READY_MS = 90_000


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchBook]:
    """A bench book with runs on a hill, one forecast held against the clock and one open."""
    with BenchBook.open(Path(tmp_path_factory.mktemp("fits"))) as opened:
        fill_hill(opened)
        gathered = gather_runs(opened, 1, days(4), also_car_id=1)
        for number, name in enumerate(("add 10 g, glued low", "trim 15 % of the drag area")):
            change = Change(name, mass_g=58.0)
            forecast = Forecast(change, 0.04, 0.01, 0.08, 4.3, 0.97, 0.4, 0.0, True)
            advice = Advice(forecast, Verdict.WORTH_IT, "Worth it.", "Worth it.")
            wish = Wish(target_time_s=4.3)
            kept = keep_forecast(opened, gathered, 1, advice, wish, days(4 + number))
            if number == 0:
                mark_change_done(opened, kept.id, days(4.5))
        for number in range(4):
            at = days(5) + timedelta(minutes=number)
            note_run(opened, 1, 1, 4.3 + 0.01 * number, "clean", at)
        yield opened


def wait_for(page: Page, address: str) -> None:
    """Go to a page and wait until its fit is done."""
    page.goto(address)
    expect(page.locator("#fit-progress")).to_have_count(0, timeout=READY_MS)


@pytest.mark.parametrize("path", PATHS)
def test_anyone_can_use_it_on_any_screen(browser: Browser, live: LiveApp, path: str) -> None:
    require_for_anyone(browser, f"{live.address}{path}", _settle)


def _settle(page: Page) -> None:
    expect(page.locator("#fit-progress")).to_have_count(0, timeout=READY_MS)
    open_all_details(page)


@pytest.mark.parametrize("size", [WIDE, NARROW, (768, 1000)], ids=["wide", "narrow", "between"])
@pytest.mark.parametrize("path", [MADE_OF, HELP, "/forecasts"])
def test_words_in_pictures_can_be_read_and_do_not_touch(
    browser: Browser, live: LiveApp, path: str, size: tuple[int, int]
) -> None:
    with open_context(browser, size) as context:
        page = context.new_page()
        wait_for(page, f"{live.address}{path}")
        pictures = page.evaluate(_TEXT_BOXES)
        assert pictures
        for picture in pictures:
            for index, text in enumerate(picture["texts"]):
                assert text["size"] >= 10.0, (picture["name"], text["words"])
                assert text["box"]["left"] >= 0
                assert text["box"]["right"] <= size[0], (picture["name"], text["words"])
                for other in picture["texts"][index + 1 :]:
                    reach = overlap_px(text["box"], other["box"])
                    assert reach < 4.0, (picture["name"], text["words"], other["words"])


def test_a_long_fit_can_be_left_comes_back_and_leads_on(
    browser: Browser, live: LiveApp, book: BenchBook, monkeypatch: pytest.MonkeyPatch
) -> None:
    go = threading.Event()

    def slow(gathered: object, progress: object) -> object:
        while not go.wait(0.02):
            progress(0.4)  # type: ignore[operator]
        return fit_gathered(gathered)  # type: ignore[arg-type]

    note_run(book, 1, 2, 4.5, "clean", datetime(2026, 3, 20, tzinfo=UTC))  # a fit of its own
    monkeypatch.setattr("hillbench.web.fits.fit_gathered", slow)
    with open_context(browser, NARROW) as context:
        watched = Watched(context.new_page())
        page = watched.page
        page.goto(f"{live.address}{MADE_OF}")
        share = page.locator(".fit-share")
        expect(share).to_contain_text("40 %")
        require_usable(page, NARROW[0])
        expect(share).to_contain_text("3 s so far")  # it follows by itself
        page.goto(f"{live.address}/forecasts")
        page.goto(f"{live.address}{MADE_OF}")
        expect(share).to_contain_text(re.compile(r"[3-9] s so far"))
        go.set()
        expect(page.locator("h1")).to_contain_text("runs and 2 tests", timeout=READY_MS)
        assert watched.complaints == []


def test_it_works_without_script(browser: Browser, live: LiveApp) -> None:
    with open_context(browser, NARROW, script=False) as context:
        page = context.new_page()
        page.goto(f"{live.address}{HELP}")
        for _ in range(60):
            again = page.get_by_role("link", name="See whether it is ready")
            if not again.count():
                break
            page.wait_for_timeout(500)
            again.click()
        expect(page.get_by_label("Target time")).to_have_value("4.3")
        page.get_by_role("button", name=re.compile("^Keep the forecast of")).first.click()
        expect(page.locator("h1")).to_have_text("How forecasts turned out")
        expect(page.get_by_text("Forecast kept")).to_be_visible()
