"""How fast a run entered at the Clock becomes a verdict, with 100,000 runs in the bench book.

Run with ``PYTHONPATH=src python -m benchmarks.clock_page`` at the root. Prints the time from
sending an entry to the server's whole answer and, where a browser is found, from the press of
Keep on a phone-sized page to the new sentence and picture standing in it. Asked is less than
200 ms in 95 of 100 entries, on loopback.
"""

from __future__ import annotations

import tempfile
import time
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

import httpx
import numpy as np
from playwright.sync_api import sync_playwright

from hillbench.records import outing_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import RunNote
from hillbench.records.outing_store import NewRun
from hillbench.usecases.begin_outing import begin_outing
from hillbench.web.app import utc_now
from tests.browser.clock_seed import START, TYPICAL_S, fill_clock
from tests.browser.conftest import ARGUMENTS, NARROW, LiveApp, open_context
from tests.provide_browser import find_browser

RUNS: Final = 100_000
RUNS_EACH: Final = 10
OUTINGS: Final = 12
SPREAD_S: Final = 0.04

KEEP_TO_ANSWER: Final = """(time) => new Promise((done) => {
  const evidence = document.getElementById("clock-evidence");
  const field = document.getElementById("entry-finish_time_s");
  field.value = time;
  const from = performance.now();
  new MutationObserver((_, observer) => {
    observer.disconnect();
    requestAnimationFrame(() => setTimeout(() => done(performance.now() - from)));
  }).observe(evidence, {childList: true});
  document.getElementById("keep").click();
})"""


def fill_history(book: BenchBook, runs: int, rng: np.random.Generator) -> None:
    """Put many earlier outings into the bench book."""
    each = 100
    for number in range(runs // each):
        begun = START + timedelta(hours=number)
        outing = begin_outing(book, 1, (1, 2, 3, 4), 2, begun)
        cars = rng.integers(1, 5, each)
        times = np.array(TYPICAL_S)[cars - 1] + SPREAD_S * rng.standard_normal(each)
        entries = [
            NewRun(
                car_id=int(car),
                finish_time_s=round(float(time_s), 3),
                note=RunNote.CLEAN,
                lane=None,
                entry_key=None,
            )
            for car, time_s in zip(cars, times, strict=True)
        ]
        with book.write() as session:
            outing_store.add_outing_runs(session, outing, entries)


def begin_outings(book: BenchBook, now: datetime) -> list[int]:
    """Begin the outings to be measured."""
    return [
        begin_outing(book, 1, (1, 2), 2, now + timedelta(seconds=number)).id
        for number in range(OUTINGS)
    ]


def on_the_server(address: str, outings: list[int], rng: np.random.Generator) -> list[float]:
    """Return the time of each answer, ms."""
    taken = []
    with httpx.Client(base_url=address, headers={"hx-request": "true"}) as client:
        for outing in outings:
            for run in range(2 * RUNS_EACH):
                time_s = TYPICAL_S[run % 2] + SPREAD_S * float(rng.standard_normal())
                fields = {"car_id": str(1 + run % 2), "note": "clean"}
                fields |= {"finish_time_s": f"{time_s:.3f}", "lane": str(1 + run % 2)}
                from_s = time.perf_counter()
                answer = client.post(f"/clock/{outing}/runs", data=fields)
                taken.append(1000.0 * (time.perf_counter() - from_s))
                assert answer.status_code == 200, answer.text
    return taken


def on_the_phone(address: str, outings: list[int], rng: np.random.Generator) -> list[float]:
    """Return the time from the key to the answer in the page, ms."""
    program = find_browser()
    if not program:
        return []
    taken: list[float] = []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=list(ARGUMENTS))
        with open_context(browser, NARROW) as context:
            page = context.new_page()
            for outing in outings:
                page.goto(f"{address}/clock/{outing}")
                for run in range(2 * RUNS_EACH):
                    time_s = TYPICAL_S[run % 2] + SPREAD_S * float(rng.standard_normal())
                    taken.append(float(page.evaluate(KEEP_TO_ANSWER, f"{time_s:.3f}")))
                    page.wait_for_timeout(150)
        browser.close()
    return taken


def told(name: str, taken: list[float]) -> str:
    """Return one line of the table."""
    if not taken:
        return f"{name:42s} no browser found"
    middle, late, worst = np.percentile(taken, [50, 95, 100])
    return f"{name:42s} {middle:7.0f} {late:7.0f} {worst:7.0f}  ({len(taken)} entries)"


def main() -> None:
    """Print the table."""
    rng = np.random.default_rng(11)
    with tempfile.TemporaryDirectory() as folder, BenchBook.open(Path(folder)) as book:
        fill_clock(book, months=1)
        fill_history(book, RUNS, rng)
        outings = begin_outings(book, utc_now())
        with LiveApp(book) as live:
            first = on_the_server(live.address, outings[:1], rng)
            half = OUTINGS // 2
            server = on_the_server(live.address, outings[1:half], rng)
            phone = on_the_phone(live.address, outings[half:], rng)
    print(f"entry to verdict, ms, with {RUNS} runs stored     median     95 %   worst")
    print(f"{'very first entry after the start':42s} {first[0]:7.0f}")
    print(told("entry sent to whole answer", server))
    print(told("Keep pressed to answer in the page", phone))


if __name__ == "__main__":
    main()
