"""The ledger of a build knows the car's parts, its mass before, and the scale at the meet."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from hillbench.usecases.ledger_of_build import Ledger
from hillbench.usecases.measure_car import measure_car
from hillbench.usecases.show_build import show_build
from hillbench.usecases.weigh_car import weigh_car
from hillbench.usecases.work_step import StepEntry, check_off
from tests.usecases.builds import NOW, Bench, begun, bench


@pytest.fixture
def on(tmp_path: Path) -> Iterator[Bench]:
    with bench(tmp_path) as opened:
        yield opened


def weigh(on: Bench, build_id: int, key: str, *readings_g: float) -> None:
    entry = StepEntry("", readings_g, 0.01 if readings_g else None, anyway=True)
    check_off(on.book, on.step(build_id, key).id, entry, NOW)


def ledger(on: Bench, build_id: int) -> Ledger:
    return show_build(on.book, build_id, NOW).ledger


def test_it_begins_with_what_the_car_weighed_before_the_build(on: Bench) -> None:
    build_id = begun(on)
    weigh_car(on.book, on.car_id, [99.0], 0.01, NOW + timedelta(hours=1))
    start = ledger(on, build_id).start
    assert start is not None
    assert start.value == pytest.approx(37.20)


def test_a_wheel_or_an_axle_beside_the_scale_is_named(on: Bench) -> None:
    sizes = {"wheel_mass_g": 0.71, "axle_diameter_mm": 1.0, "track_width_mm": 26.0}
    measure_car(on.book, on.car_id, sizes, NOW)
    build_id = begun(on)
    weigh(on, build_id, "weigh bare", 37.20 - 0.71)
    assert ledger(on, build_id).worst().causes[0].text == "a wheel is not on the scale"  # type: ignore[union-attr]
    axle_g = math.pi / 4.0 * 26.0 / 1000.0 * 7.9
    weigh(on, build_id, "weigh bare", round(37.20 - 2 * 0.71 - axle_g, 2))
    worst = ledger(on, build_id).worst()
    assert worst is not None
    assert worst.causes[0].text == "an axle with its two wheels is not on the scale"


def test_the_scale_at_the_meet_decides(on: Bench) -> None:
    coarse = begun(on, other_scale_step_g=1.0)
    fine = begun(on, other_scale_step_g=0.01)
    chances = [ledger(on, one).verdict.probability_over for one in (coarse, fine)]  # type: ignore[union-attr]
    room = [ledger(on, one).verdict.most_g for one in (coarse, fine)]  # type: ignore[union-attr]
    assert chances[0] < chances[1], "a scale of 1 g shows 57 g up to 57.5 g"
    assert room[0] != pytest.approx(room[1], abs=0.1)
    assert ledger(on, begun(on, limit_g=None)).verdict is None


def test_a_final_weighing_is_told_as_weighed(on: Bench) -> None:
    build_id = begun(on)
    assert not ledger(on, build_id).is_weighed
    for key in ("pilot", "head", "thread hole", "trim", "decals", "fit 1", "close"):
        weigh(on, build_id, key)
    weigh(on, build_id, "graphite 1")
    weigh(on, build_id, "graphite 2")
    assert not ledger(on, build_id).is_weighed
    weigh(on, build_id, "weigh", 56.81, 56.82)
    found = ledger(on, build_id)
    assert found.is_weighed
    assert found.final is not None
    assert found.final.value == pytest.approx(56.815)


def test_a_build_without_steps_has_an_empty_ledger(on: Bench) -> None:
    from hillbench.records import build_store

    with on.book.write() as session:
        build = build_store.add_build(session, on.car_id, "Nothing", (), NOW)
    shown = show_build(on.book, build.id, NOW)
    assert shown.current is None
    assert shown.ledger.lines == ()
    assert shown.ledger.final == shown.ledger.start
