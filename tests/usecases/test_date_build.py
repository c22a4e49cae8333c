"""A build worked backwards from the day it is needed, by the clock on the wall."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from hillbench.usecases.show_build import show_build
from hillbench.usecases.work_step import StepEntry, check_off
from tests.usecases.builds import NOW, Bench, begun, bench

ZONE = ZoneInfo("Europe/Paris")
SATURDAY = datetime(2026, 3, 7, 10, 0, tzinfo=ZONE)


@pytest.fixture
def on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    monkeypatch.setenv("TZ", "Europe/Paris")
    time.tzset()
    with bench(tmp_path) as opened:
        yield opened
    monkeypatch.undo()
    time.tzset()


def test_decals_are_on_by_thursday_evening(on: Bench) -> None:
    """A meet on Saturday at ten, evenings from 19:00 to 21:30, decals that dry twelve hours."""
    build_id = begun(on, meet_at=SATURDAY)
    shown = show_build(on.book, build_id, NOW)
    assert shown.dates is not None
    assert shown.dates.unplaced == ()
    decals = shown.dates.by_key["decals"].ends_at.astimezone(ZONE)
    assert (decals.strftime("%A"), decals.hour) in (("Thursday", 21), ("Thursday", 20))
    prove = shown.dates.by_key["prove"].ends_at.astimezone(ZONE)
    assert prove == datetime(2026, 3, 6, 21, 30, tzinfo=ZONE)


def test_every_step_lies_in_an_evening_after_what_it_waits_for(on: Bench) -> None:
    shown = show_build(on.book, begun(on, meet_at=SATURDAY), NOW)
    assert shown.dates is not None
    by_key = shown.dates.by_key
    for one in shown.steps:
        date = by_key[one.step.key]
        begin, end = (at.astimezone(ZONE) for at in (date.begins_at, date.ends_at))
        assert begin.date() == end.date()
        minute = begin.hour * 60 + begin.minute
        assert minute + 1e-6 >= 19 * 60
        assert end <= end.replace(hour=21, minute=30, second=0, microsecond=0)
        for key in one.step.waits_for:
            before = shown.step_named(key)
            assert before is not None
            rest = timedelta(minutes=before.step.wait_minutes)
            assert by_key[key].ends_at + rest <= date.begins_at + timedelta(seconds=1)


def test_too_little_time_is_told(on: Bench) -> None:
    shown = show_build(on.book, begun(on, meet_at=NOW + timedelta(hours=20)), NOW)
    assert shown.dates is not None
    assert "choose" in shown.dates.unplaced
    assert shown.dates.spare_minutes < 150


def test_a_wait_that_runs_too_long_makes_what_follows_late(on: Bench) -> None:
    build_id = begun(on, meet_at=datetime(2026, 3, 3, 22, 0, tzinfo=ZONE))
    late = datetime(2026, 3, 3, 9, 0, tzinfo=ZONE)
    check_off(on.book, on.step(build_id, "decals").id, StepEntry(anyway=True), late)
    shown = show_build(on.book, build_id, late)
    assert shown.dates is not None
    assert shown.dates.by_key["rub check"].late
    assert not shown.dates.by_key["prove"].late


def test_evenings_keep_their_hour_when_summer_time_begins(on: Bench) -> None:
    now = datetime(2026, 3, 27, 12, 0, tzinfo=ZONE)  # the clocks go forward on the 29th
    build_id = begun(on, meet_at=datetime(2026, 3, 31, 22, 0, tzinfo=ZONE))
    shown = show_build(on.book, build_id, now)
    assert shown.dates is not None
    last = shown.dates.by_key["prove"].ends_at.astimezone(ZONE)
    assert (last.hour, last.minute) == (21, 30)


def test_without_a_day_nothing_is_dated(on: Bench) -> None:
    assert show_build(on.book, begun(on), NOW).dates is None
