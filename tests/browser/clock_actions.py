"""What the tests of the Clock do on its page and read from the bench book."""

from __future__ import annotations

from playwright.sync_api import Page

from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import TimedRun
from hillbench.records.outing_store import list_outing_runs
from hillbench.usecases.begin_outing import begin_outing
from tests.browser.clock_seed import START


def begun(book: BenchBook, lanes: int = 1) -> int:
    """Return the number of a new outing of the first two cars."""
    return begin_outing(book, 1, (1, 2), lanes, START).id


def kept(book: BenchBook, outing_id: int) -> list[TimedRun]:
    with book.read() as session:
        return list(list_outing_runs(session, [outing_id]))


def told(book: BenchBook, outing_id: int) -> list[tuple[int, float | None]]:
    return [(run.car_id, run.finish_time_s) for run in kept(book, outing_id)]


def key_in(page: Page, text: str) -> None:
    """Press the keys of a time and keep it."""
    for figure in text:
        page.locator(f"#clock-pad [data-key='{figure}']").click()
    page.locator("#keep").click()
