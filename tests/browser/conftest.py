"""A real browser on a live app; without a browser these tests are skipped, and counted."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest
import uvicorn
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from hillbench.records.bench_book import BenchBook
from hillbench.web.app import create_app
from tests.provide_browser import find_browser

ARGUMENTS: Final = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
WIDE: Final = (1280, 900)
NARROW: Final = (390, 844)


class LiveApp:
    """The app served on a free port of this computer in a thread of its own."""

    def __init__(self, book: BenchBook, *, demo: bool = False) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port: int = probe.getsockname()[1]
        app = create_app(book, demo=demo)
        config = uvicorn.Config(app, port=self.port, log_level="warning", lifespan="off")
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._server.run, daemon=True)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def __enter__(self) -> LiveApp:
        self._thread.start()
        until = time.monotonic() + 20
        while not self._server.started:
            assert time.monotonic() < until, "the app did not start"
            time.sleep(0.02)
        return self

    def __exit__(self, *exception: object) -> None:
        self._server.should_exit = True
        self._thread.join(10)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """A headless Chromium."""
    program = find_browser()
    if not program:
        pytest.skip("no Chromium found; name one with HILLBENCH_BROWSER")
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=program, args=list(ARGUMENTS))
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchBook]:
    """A bench book with something on every page."""
    from tests.browser.seed import fill

    with BenchBook.open(Path(tmp_path_factory.mktemp("bench"))) as opened:
        fill(opened)
        yield opened


@pytest.fixture(scope="module")
def live(book: BenchBook) -> Iterator[LiveApp]:
    """The app on that bench book."""
    with LiveApp(book) as running:
        yield running


class Watched:
    """A page with everything the browser complained about on it."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.complaints: list[str] = []
        page.on("console", lambda message: self._note(message.type, message.text))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def _note(self, kind: str, text: str) -> None:
        if kind in ("error", "warning"):
            self.complaints.append(text)


def open_context(
    browser: Browser, size: tuple[int, int], *, dark: bool = False, script: bool = True
) -> BrowserContext:
    """Return a fresh device of that size and light."""
    return browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme="dark" if dark else "light",
        java_script_enabled=script,
        reduced_motion="reduce",
    )
