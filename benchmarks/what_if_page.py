"""How fast the what-if sliders answer, with 10,000 timed runs in the bench book.

Run with ``PYTHONPATH=src python -m benchmarks.what_if_page`` at the root. Prints the server's
time and, where a browser is found, the time from a move of a slider to the answer standing in
the page.
"""

from __future__ import annotations

import tempfile
import time
import warnings
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import cast

import numpy as np
from playwright.sync_api import sync_playwright

from hillbench.records.bench_book import BenchBook
from hillbench.web.app import create_app
from tests.browser.conftest import ARGUMENTS, WIDE, LiveApp, open_context
from tests.browser.hills import fill_hills
from tests.provide_browser import find_browser

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # Starlette is moving its test client to another library
    from starlette.testclient import TestClient

RUNS = 10_000
ASKED = 300
PAIR = "/cars/1/on/1"

SLIDER_TO_ANSWER = """(moves) => new Promise((done) => {
  const slider = document.getElementById("what-if-bearing_friction");
  const answer = document.getElementById("what-if-answer");
  const times = [];
  let from = 0;
  const move = () => {
    from = performance.now();
    slider.value = Number(slider.value) + (times.length % 2 ? 0.01 : -0.01);
    slider.dispatchEvent(new Event("input", {bubbles: true}));
  };
  new MutationObserver(() => {
    if (!from) return;
    times.push(performance.now() - from);
    from = 0;
    if (times.length === moves) done(times);
    else setTimeout(move, 120);
  }).observe(answer, {childList: true});
  move();
})"""


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder, BenchBook.open(Path(folder)) as book:
        fill_hills(book, RUNS)
        client = TestClient(
            create_app(book), base_url="http://127.0.0.1", client=("127.0.0.1", 50000)
        )
        for what, path in (("fragment", f"{PAIR}/what-if"), ("whole page", PAIR)):
            report(f"server, {what}", timed_ms(partial(ask, client, path)))
        if find_browser() is not None:
            report("browser, slider to answer", browser_ms(book))


def ask(client: TestClient, path: str, mass_g: float) -> None:
    """Ask for one try."""
    answer = client.get(path, params={"mass_g": f"{mass_g:.2f}"}, headers={"hx-request": "true"})
    if answer.status_code != 200:
        raise SystemExit(f"{path} answered {answer.status_code}")


def timed_ms(one: Callable[[float], None]) -> list[float]:
    """Return how long each of many tries takes once warm."""
    masses = np.linspace(30.0, 70.0, ASKED)
    for mass_g in masses[:10]:
        one(float(mass_g))
    times = []
    for mass_g in masses:
        start = time.perf_counter()
        one(float(mass_g))
        times.append(1e3 * (time.perf_counter() - start))
    return times


def browser_ms(book: BenchBook) -> list[float]:
    """Return how long the browser takes from a move of a slider to the answer."""
    with LiveApp(book) as live, sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=find_browser() or None, args=list(ARGUMENTS)
        )
        page = open_context(browser, WIDE).new_page()
        page.goto(f"{live.address}{PAIR}")
        page.evaluate(SLIDER_TO_ANSWER, 10)
        times = cast("list[float]", page.evaluate(SLIDER_TO_ANSWER, 100))
        browser.close()
    return times


def report(what: str, times_ms: list[float]) -> None:
    """Print the median and the 95th percentile."""
    median, high = np.percentile(times_ms, [50, 95])
    print(f"{what:28} median {median:6.1f} ms   p95 {high:6.1f} ms   n {len(times_ms)}")


if __name__ == "__main__":
    main()
