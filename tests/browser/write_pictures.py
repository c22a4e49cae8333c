"""Pictures of the app for the README, taken of the demo bench.

`python -m tests.browser.write_pictures` writes them into docs/pictures.
"""

from __future__ import annotations

import tempfile
from datetime import UTC, datetime
from pathlib import Path

from playwright.sync_api import sync_playwright

from hillbench.demo.open_demo import open_demo
from tests.browser.conftest import ARGUMENTS, LiveApp
from tests.provide_browser import find_browser

FOLDER = Path(__file__).parents[2] / "docs" / "pictures"
NOW = datetime(2026, 6, 1, 18, 0, tzinfo=UTC)
SHOTS = {"car-on-track": ("/cars/1", (1280, 860))}
"""Address and size of each picture; of a car, its page on the first track named there."""


def main() -> None:
    """Take every picture."""
    FOLDER.mkdir(exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as folder,
        open_demo(Path(folder), seed=64, now=NOW).book as book,
        LiveApp(book, demo=True) as app,
        sync_playwright() as playwright,
    ):
        browser = playwright.chromium.launch(executable_path=find_browser(), args=list(ARGUMENTS))
        for name, (address, (width, height)) in SHOTS.items():
            page = browser.new_page(viewport={"width": width, "height": height})
            page.goto(app.address + address)
            page.locator("a[href*='/on/']").first.click()
            page.wait_for_load_state("networkidle")
            page.screenshot(path=FOLDER / f"{name}.png")
        browser.close()


if __name__ == "__main__":
    main()
