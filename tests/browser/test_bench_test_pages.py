"""Tests at the bench and gate times in a real browser."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_test_entities import FloorRoll, RubAnswer, Travel, Wheel
from hillbench.records.track_store import TrackState
from hillbench.usecases.keep_roll_test import keep_roll_test
from hillbench.usecases.keep_rub_check import keep_rub_check
from hillbench.usecases.keep_spin_downs import WheelSpins, keep_spin_downs
from hillbench.usecases.save_track import save_track
from tests.browser.anyone import open_all_details, require_for_anyone
from tests.browser.clock_actions import begun, kept
from tests.browser.clock_seed import LONG_HILL, START, fill_clock
from tests.browser.conftest import NARROW, LiveApp, open_context


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchBook]:
    """A hill with two gates, and a car with tests of every kind."""
    with BenchBook.open(Path(tmp_path_factory.mktemp("tests"))) as opened:
        fill_clock(opened, months=1, pairs=1)
        track = dataclasses.replace(LONG_HILL, gates_at_m=(6.0, 12.0))
        save_track(opened, "Fern Hill", "", TrackState(track, 0.008, 0.2), START, track_id=1)
        for number, times_s in enumerate(((0.7, 0.72), (1.0, 1.05), (1.0, 1.02))):
            spins = {str(wheel): WheelSpins(times_s) for wheel in Wheel}
            at = START + timedelta(hours=number)
            keep_spin_downs(opened, 1, "graphite", number, spins, at)
        rolls = [FloorRoll(2.0, 40.0), FloorRoll(2.0, -35.0, Travel.TAIL_FIRST)]
        keep_roll_test(opened, 1, rolls, START, aim_uncertainty_deg=0.1)
        keep_rub_check(opened, 1, {"base": RubAnswer.RUBS}, START)
        yield opened


@pytest.mark.parametrize("path", ["/cars/1/tests"])
def test_anyone_can_use_it_on_any_screen(browser: Browser, live: LiveApp, path: str) -> None:
    require_for_anyone(browser, f"{live.address}{path}", open_all_details)


def test_gate_times_are_keyed_in_and_wait_without_a_network(
    browser: Browser, live: LiveApp, book: BenchBook
) -> None:
    outing = begun(book)
    with open_context(browser, NARROW) as context:
        page = context.new_page()
        page.goto(f"{live.address}/clock/{outing}")
        context.set_offline(True)
        page.get_by_text("Gate times").click()
        page.get_by_label("Gate 2, 12 m").focus()
        for figure in "6.54":  # the keys go to the field that was touched last
            page.locator(f"#clock-pad [data-key='{figure}']").click()
        page.get_by_label("Time in seconds").focus()
        for figure in "10.4":
            page.locator(f"#clock-pad [data-key='{figure}']").click()
        page.locator("#keep").click()
        expect(page.locator("#clock-waits")).to_contain_text("1 run waits on this phone")
        expect(page.get_by_label("Gate 2, 12 m")).to_have_value("")
        assert kept(book, outing) == []
        context.set_offline(False)
        expect(page.locator(".runs li")).to_contain_text("–, 6.540", timeout=15000)
    run = kept(book, outing)[0]
    assert (run.finish_time_s, run.gate_times_s) == (10.4, (None, 6.54))


def test_spins_are_kept_without_script(browser: Browser, live: LiveApp) -> None:
    with open_context(browser, NARROW, script=False) as context:
        page = context.new_page()
        page.goto(f"{live.address}/cars/3/tests")
        page.locator("#spins-rear_left__stop_times_s").fill("0.9 1.0")
        page.get_by_role("button", name="Keep these spins").click()
        expect(page.locator("#messages")).to_contain_text("1 spin-down kept")
        expect(page.locator("#spins")).to_contain_text("Its bearings stand at a friction of")
        page.get_by_role("button", name="Undo").click()
        expect(page.locator("#spins")).to_contain_text("No wheel was spun yet.")
