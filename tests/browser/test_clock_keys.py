"""The keys of the Clock: runs entered, asked about, corrected, timed by thumb, turn by turn."""

from __future__ import annotations

import random
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, expect

from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import RunNote, TimedRun
from hillbench.usecases.plan_outing import next_turns, plan_outing
from hillbench.web.assets import asset_url
from tests.browser.clock_actions import begun, kept, key_in, told
from tests.browser.clock_seed import START, fill_clock
from tests.browser.conftest import NARROW, LiveApp, Watched, open_context


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchBook]:
    """A bench book with a hill, cars and a few outings."""
    with BenchBook.open(Path(tmp_path_factory.mktemp("clock"))) as opened:
        fill_clock(opened)
        yield opened


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    """A phone of its own."""
    with open_context(browser, NARROW) as context:
        yield context


def test_undo_and_edit_keep_the_old_value(
    phone: BrowserContext, live: LiveApp, book: BenchBook
) -> None:
    outing = begun(book)
    page = phone.new_page()
    page.goto(f"{live.address}/clock/{outing}")
    key_in(page, "10.31")
    expect(page.locator(".runs li")).to_have_count(1)
    key_in(page, "10.43")
    expect(page.locator(".runs li")).to_have_count(2)
    page.get_by_role("button", name="Undo last").click()
    expect(page.locator(".runs li")).to_have_count(1)
    expect(page.locator(".turn-car")).to_have_text("Grey no. 3")
    page.get_by_role("link", name="Edit run 1").click()
    page.get_by_label("Time").fill("10.37")
    page.get_by_role("button", name="Keep it so").click()
    expect(page.locator(".runs li")).to_contain_text("10.370")
    expect(page.locator(".runs li")).to_contain_text("Was 10.310 s")
    assert told(book, outing) == [(1, 10.37)]


def test_a_slip_of_the_finger_is_asked_about(
    phone: BrowserContext, live: LiveApp, book: BenchBook
) -> None:
    outing = begun(book)
    page = phone.new_page()
    page.goto(f"{live.address}/clock/{outing}")
    key_in(page, "10.31")
    expect(page.locator(".runs li")).to_have_count(1)
    key_in(page, "1044")
    expect(page.locator("#entry-meant")).to_contain_text("1044 s is far from the 10.31 s")
    page.get_by_role("button", name="It was 10.44 s").click()
    expect(page.locator(".runs li")).to_have_count(2)
    page.locator("#keep").click()
    expect(page.locator("#entry-meant")).to_contain_text("Type the time first")
    assert told(book, outing) == [(1, 10.31), (2, 10.44)]


def test_what_the_app_refuses_steps_aside_and_can_be_corrected(
    phone: BrowserContext, live: LiveApp, book: BenchBook
) -> None:
    outing = begun(book)
    page = phone.new_page()
    page.goto(f"{live.address}/clock/{outing}")
    page.locator("#entry-finish_time_s").fill("ten")
    page.locator("#keep").click()
    waits = page.locator("#clock-waits")
    expect(waits).to_contain_text("Time is 'ten'")
    key_in(page, "10.31")
    expect(page.locator(".runs li")).to_have_count(1)
    page.get_by_role("button", name="Correct it").click()
    expect(page.locator("#entry-finish_time_s")).to_have_value("ten")
    expect(waits).to_be_hidden()
    assert told(book, outing) == [(1, 10.31)]


def test_the_phone_as_a_stopwatch_says_how_sure_a_thumb_is(
    phone: BrowserContext, live: LiveApp, book: BenchBook
) -> None:
    outing = begun(book)
    page = phone.new_page()
    page.goto(f"{live.address}/clock/{outing}")
    page.get_by_text("Start and stop here").click()
    expect(page.locator("#clock-reaction")).to_contain_text("0.1 s")
    page.locator("#go").click()
    before = time.monotonic()
    expect(page.locator("#go")).to_contain_text("Stop")
    page.wait_for_timeout(3000)
    page.locator("#go").click()
    waited_s = time.monotonic() - before
    shown = float(page.locator("#entry-finish_time_s").input_value())
    assert shown == pytest.approx(waited_s, abs=0.3)
    page.locator("#keep").click()
    meant = page.locator("#clock-waits")
    expect(meant).to_contain_text("confirm it")  # 3 s is odd on this hill of 10 s
    page.get_by_role("button", name="Keep it all the same").click()
    expect(page.locator(".runs li")).to_contain_text("By hand on a phone, ± 0.1 s")
    (run,) = kept(book, outing)
    assert (run.time_source, run.time_uncertainty_s) == ("phone", 0.1)


def test_keys_enter_a_run_and_the_answer_follows(
    phone: BrowserContext, live: LiveApp, book: BenchBook
) -> None:
    outing = begun(book, lanes=2)
    watched = Watched(phone.new_page())
    page = watched.page
    page.goto(f"{live.address}/clock/{outing}")
    expect(page.locator(".turn-car")).to_have_text("Plum")
    expect(page.locator(".turn-lane")).to_have_text("lane 1")
    key_in(page, "10.36")
    expect(page.locator(".turn-car")).to_have_text("Grey no. 3")
    expect(page.locator(".turn-lane")).to_have_text("lane 2")
    for text in ("10.44", "10.47", "10.35", "10.36", "10.45"):
        key_in(page, text)
    expect(page.locator(".runs li")).to_have_count(6)
    expect(page.locator("h1")).to_contain_text("Plum")
    expect(page.locator("#clock-evidence svg:visible")).to_have_count(1)
    expect(page.locator("#clock-evidence svg:visible circle")).to_have_count(7)
    # ABBABAAB, an order free of a steady trend, was followed.
    assert [run.car_id for run in kept(book, outing)] == [1, 2, 2, 1, 2, 1]
    assert {run.lane for run in kept(book, outing)} == {"1", "2"}
    assert watched.complaints == []


NEXT_TURNS = """async ([address, plan, waiting]) => {
  const { nextTurn } = await import(address);
  return waiting.map((cars) => {
    const turn = nextTurn(plan, cars);
    return [turn.car, turn.lane, turn.beside];
  });
}"""


@pytest.mark.parametrize(
    ("cars", "lanes", "together"), [(2, 1, False), (3, 2, False), (4, 3, True)]
)
def test_the_phone_works_out_the_same_turn_as_the_app(
    phone: BrowserContext, live: LiveApp, cars: int, lanes: int, together: bool
) -> None:
    page = phone.new_page()
    page.goto(f"{live.address}/clock")
    plan = plan_outing(range(1, cars + 1), lanes, together=together)
    names = {str(car): f"Car {car}" for car in plan.car_ids}
    turns = [[turn.start, turn.car_id, turn.lane] for turn in plan.turns]
    run = random.Random(5).choices(plan.car_ids, k=len(turns) + 8)
    waiting = [run[:count] for count in range(len(run))]
    told = page.evaluate(
        NEXT_TURNS,
        [asset_url("js/clock_turn.js"), {"turns": turns, "done": {}, "names": names}, waiting],
    )
    for done, (car, lane, beside) in zip(waiting, told, strict=True):
        first, *others = next_turns(plan, [_run_of(car_id) for car_id in done])
        assert (car, lane) == (first.car_id, first.lane)
        assert beside == [names[str(turn.car_id)] for turn in others]


def _run_of(car_id: int) -> TimedRun:
    return TimedRun(0, 1, 1, car_id, 10.0, RunNote.CLEAN, START)
