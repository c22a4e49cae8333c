"""Cavities and plans are kept and come back; balance and curve are what statics and runs say."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import norm

from hillbench.ballast.audit import faults
from hillbench.ballast.body_styles import TYPICAL_CAVITIES
from hillbench.ballast.cavity import KeepOut
from hillbench.ballast.measured_cavity import cavity_of
from hillbench.ballast.outline import PhotoOutline
from hillbench.ballast.plan import Placement, Plan
from hillbench.ballast.stock import StockPiece
from hillbench.ballast.task import BallastTask, FixedMass
from hillbench.coasting.run import coast
from hillbench.errors import InvalidInput, NotFound
from hillbench.records.ballast_plan_store import BallastPlanRecord, add_ballast_plan
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind
from hillbench.records.errors import BadArchive
from hillbench.uncertainty import Estimate
from hillbench.usecases.balance_curve import balance_curve
from hillbench.usecases.export_bench import export_bench
from hillbench.usecases.import_bench import import_bench
from hillbench.usecases.judge_plan import check_class, predict_plans
from hillbench.usecases.keep_ballast_plan import (
    choose_plan,
    find_chosen_plan,
    find_kept_plan,
    list_kept_plans,
)
from hillbench.usecases.keep_cavity import find_kept_cavity, keep_cavity
from hillbench.usecases.list_removed import list_removed
from hillbench.usecases.measure_balance import (
    AxleReadings,
    compare_with_plan,
    keep_balance,
    measure_balance,
)
from hillbench.usecases.plan_car_ballast import find_car_to_ballast, question_key
from hillbench.usecases.question import write_question
from hillbench.usecases.remove_thing import remove_thing, restore_thing
from hillbench.usecases.set_scene import set_scene
from hillbench.usecases.weigh_car import weigh_car
from tests.usecases.bench import NOW, small_bench

SALOON = TYPICAL_CAVITIES["saloon"]
TASK = BallastTask(
    42.0,
    57.0,
    cavity_of(SALOON),
    (StockPiece("bar", (19.0, 12.7, 2.6), 2, 7.09, lie_flat=True),),
    (FixedMass("bare car", 42.7, 20.0, 0.0, 9.0), FixedMass("drilled", -0.3, 20.0, 0.0, 5.0)),
)


def planned(x_mm: float = 2.5) -> Plan:
    """Return a plan worked out by hand: two bars side by side along the car."""
    bars = tuple(
        Placement(n, "bar", at, -9.5, 3.5, (12.7, 19.0, 2.6), 7.09, 1, 0, "floor")
        for n, at in ((1, x_mm), (2, x_mm + 13.0))
    )
    weights = [(42.7, 20.0, 9.0), (-0.3, 20.0, 5.0)]
    weights += [(7.09, one.x_mm + 6.35, 4.8) for one in bars]
    total = sum(w for w, _, _ in weights)
    along = sum(w * x for w, x, _ in weights) / total
    up = sum(w * z for w, _, z in weights) / total
    return Plan(bars, round(total, 3), along, 0.0, up, 0.13)


def record(car_id: int, name: str, x_mm: float = 2.5, minutes: int = 0) -> BallastPlanRecord:
    """Return a plan to keep."""
    return BallastPlanRecord(
        id=0,
        car_id=car_id,
        made_at=NOW + timedelta(minutes=minutes),
        chosen_at=None,
        name=name,
        question_key=question_key(car_id, TASK),
        question=write_question(TASK),
        plan=dataclasses.asdict(planned(x_mm)),
        answer={"sentence": "56.58 g.", "status": "best found", "levels": []},
    )


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[tuple[BenchBook, int, int]]:
    """A bench with a car, a track and two plans."""
    with small_bench(tmp_path / "bench") as (book, car_id, track_id):
        with book.write() as session:
            add_ballast_plan(session, record(car_id, "behind"))
            add_ballast_plan(session, record(car_id, "ahead", 14.0, 1))
        yield book, car_id, track_id


def test_the_plan_of_these_tests_can_be_built() -> None:
    assert faults(TASK, planned()) == ()


def test_a_cavity_is_kept_with_the_casting_and_the_one_before_comes_back(
    bench: tuple[BenchBook, int, int],
) -> None:
    book, car_id, _ = bench
    casting_id = find_car_to_ballast(book, car_id).casting_id
    assert find_kept_cavity(book, casting_id).measured is None
    outline = PhotoOutline("side", "a" * 64, (100.0, 400.0), (520.0, 400.0),
                           ((0.0, 330.0), (200.0, 250.0), (600.0, 340.0)))  # fmt: skip
    seat = KeepOut("seat", "box", (5.0, 9.0), (-8.0, 8.0), (None, 7.0), None, 0.0)
    first = keep_cavity(book, casting_id, SALOON, NOW)
    later = replace(SALOON, keep_outs=(*SALOON.keep_outs, seat), outlines=(outline,))
    second = keep_cavity(book, casting_id, later, NOW + timedelta(hours=1), note="with the seat")
    kept = find_kept_cavity(book, casting_id)
    assert (kept.measured, kept.earlier, kept.record and kept.record.note) == (
        later, 1, "with the seat",
    )  # fmt: skip
    assert find_car_to_ballast(book, car_id).measured == later
    remove_thing(book, Kind.CAVITY, second.id, NOW)
    assert find_kept_cavity(book, casting_id).record == first
    assert [one.kind for one in list_removed(book)] == [Kind.CAVITY]
    restore_thing(book, Kind.CAVITY, second.id)
    assert find_kept_cavity(book, casting_id).measured == later


def test_an_inside_without_room_is_refused_with_what_takes_it(
    bench: tuple[BenchBook, int, int],
) -> None:
    book, car_id, _ = bench
    casting_id = find_car_to_ballast(book, car_id).casting_id
    block = KeepOut("block", "box", (-30.0, 80.0), (-20.0, 20.0), (None, None), None, 0.0)
    with pytest.raises(InvalidInput, match="keep_outs is all of the inside"):
        keep_cavity(book, casting_id, replace(SALOON, keep_outs=(block,)), NOW)
    flat = replace(SALOON.readings, deck_mm=0.3, roof_mm=0.3, bonnet_mm=0.3, belt_mm=0.3)
    with pytest.raises(InvalidInput, match="no room at all"):
        keep_cavity(book, casting_id, replace(SALOON, readings=flat), NOW)
    assert find_kept_cavity(book, casting_id).record is None


def test_one_plan_is_chosen_and_no_other(bench: tuple[BenchBook, int, int]) -> None:
    book, car_id, _ = bench
    ahead, behind = list_kept_plans(book, car_id)
    assert (ahead.record.name, behind.record.name) == ("ahead", "behind")
    assert ahead.plan == planned(14.0)
    assert ahead.task == TASK
    assert find_chosen_plan(book, car_id) is None
    choose_plan(book, ahead.record.id, NOW)
    choose_plan(book, behind.record.id, NOW)
    chosen = find_chosen_plan(book, car_id)
    assert chosen is not None
    assert chosen.record.name == "behind"
    remove_thing(book, Kind.BALLAST_PLAN, behind.record.id, NOW)
    assert find_chosen_plan(book, car_id) is None
    restore_thing(book, Kind.BALLAST_PLAN, behind.record.id)
    choose_plan(book, behind.record.id, None)
    assert find_chosen_plan(book, car_id) is None
    with pytest.raises(NotFound):
        find_kept_plan(book, car_id + 1, behind.record.id)


def test_the_ledger_of_a_plan_adds_up(bench: tuple[BenchBook, int, int]) -> None:
    book, car_id, _ = bench
    kept = list_kept_plans(book, car_id)[1]
    assert kept.bare_g == pytest.approx(42.4)
    assert [step.scale_reads_g for step in kept.steps()] == pytest.approx([49.49, 56.58])
    assert kept.spare_g == pytest.approx(0.42)


def test_the_chance_to_be_over_is_that_of_the_normal_distribution(
    bench: tuple[BenchBook, int, int],
) -> None:
    """Scale that turns over to 57.01 at 57.005 g, doubt 0.025 g (k = 2 of a guard of 0.05)."""
    kept = list_kept_plans(bench[0], bench[1])[0]
    near = replace(kept, plan=replace(kept.plan, total_g=56.98))
    check = check_class(near)
    assert check.probability_over == pytest.approx(norm.sf((57.005 - 56.98) / 0.025), rel=1e-6)
    assert not check.fits
    assert check_class(kept).fits


def test_plans_come_through_export_and_import(
    bench: tuple[BenchBook, int, int], tmp_path: Path
) -> None:
    book, car_id, _ = bench
    casting_id = find_car_to_ballast(book, car_id).casting_id
    keep_cavity(book, casting_id, SALOON, NOW)
    choose_plan(book, 1, NOW)
    target = tmp_path / "bench.zip"
    export_bench(book, target, NOW)
    with BenchBook.open(tmp_path / "other") as other:
        import_bench(other, target)
        assert list_kept_plans(other, car_id) == list_kept_plans(book, car_id)
        assert find_kept_cavity(other, casting_id) == find_kept_cavity(book, casting_id)


def readings_of(
    masses: list[tuple[float, float, float]], base_mm: float, radius_mm: float, raised_mm: float
) -> tuple[float, float, float]:
    """Return total and rear reading level and raised, by moments of each mass in space."""
    angle = math.asin(raised_mm / base_mm)
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    total = sum(mass for mass, _, _ in masses)

    def rear(rotation: np.ndarray) -> float:
        front = rotation @ np.array([base_mm, 0.0])
        moment = sum(m * (front - rotation @ np.array([x, z - radius_mm]))[0]
                     for m, x, z in masses)  # fmt: skip
        return float(moment / front[0])

    return total, rear(np.eye(2)), rear(turn)


def test_the_balance_is_that_of_the_masses_in_it() -> None:
    """Statics of rigid bodies: forces from moments about the front axle, body turned in space."""
    masses = [(31.0, 19.0, 9.5), (14.18, 8.0, 4.8), (2.31, 44.0, 6.0), (4.0, 0.0, 5.2)]
    total, level, raised = readings_of(masses, 42.0, 5.2, 14.0)
    read = AxleReadings((level,), (raised,), (total,), 0.01, 42.0, 14.0, 0.1, 10.4)
    found = measure_balance(read)
    along = sum(m * x for m, x, _ in masses) / total
    up = sum(m * z for m, _, z in masses) / total
    assert found.ahead.value == pytest.approx(along, abs=1e-9)
    assert found.height is not None
    assert found.height.value == pytest.approx(up, abs=1e-9)
    assert found.share == pytest.approx(along / 42.0)


def test_the_uncertainty_is_that_of_many_weighings() -> None:
    """Monte Carlo (JCGM 101:2008): readings and lengths drawn from their steps."""
    rng, draws = np.random.default_rng(5), 200_000
    masses = [(51.0, 19.0, 8.0)]
    total, level, raised = readings_of(masses, 42.0, 5.2, 14.0)
    step_g, step_mm = 0.05, 0.1

    def jitter(value: float, step: float) -> NDArray[np.float64]:
        return value + rng.uniform(-step / 2, step / 2, draws)

    base, lift = jitter(42.0, step_mm), jitter(14.0, step_mm)
    rear, up, whole = (jitter(value, step_g) for value in (level, raised, total))
    ahead = base * (1.0 - rear / whole)
    height = 5.2 + base * (up - rear) / (whole * lift / np.sqrt(base**2 - lift**2))
    read = AxleReadings((level,), (raised,), (total,), step_g, 42.0, 14.0, step_mm, 10.4)
    found = measure_balance(read)
    assert found.ahead.standard_uncertainty == pytest.approx(float(ahead.std()), rel=0.02)
    assert found.height is not None
    assert found.height.standard_uncertainty == pytest.approx(float(height.std()), rel=0.02)


GOOD = AxleReadings((20.0,), (), (40.0,), 0.01, 42.0, 0.0, 0.1, 10.4)


@pytest.mark.parametrize(
    ("wrong", "place"),
    [
        (replace(GOOD, rear_g=()), "rear_g"),
        (replace(GOOD, total_g=()), "total_g"),
        (replace(GOOD, rear_g=(50.0,)), "rear_g"),
        (replace(GOOD, raised_rear_g=(21.0,)), "raised_mm"),
        (replace(GOOD, raised_rear_g=(19.0,), raised_mm=10.0), "raised_rear_g"),
        (replace(GOOD, raised_rear_g=(21.0,), raised_mm=60.0), "raised_mm"),
    ],
)
def test_weighings_that_cannot_be_are_named(wrong: AxleReadings, place: str) -> None:
    with pytest.raises(InvalidInput) as error:
        measure_balance(wrong)
    assert [problem.where for problem in error.value.problems] == [place]


def test_measured_is_held_against_planned(bench: tuple[BenchBook, int, int]) -> None:
    book, car_id, _ = bench
    choose_plan(book, 1, NOW)
    plan = find_chosen_plan(book, car_id)
    assert plan is not None
    assert compare_with_plan(book, car_id, plan, None) == ()
    near = measure_balance(GOOD)
    wanted = plan.plan.cg_ahead_of_rear_axle_mm
    good = replace(near, ahead=Estimate(wanted + 0.1, 0.05))
    off = replace(near, ahead=Estimate(wanted - 1.4, 0.05))
    (agreed,) = compare_with_plan(book, car_id, plan, good)
    (differs,) = compare_with_plan(book, car_id, plan, off)
    assert agreed.agrees
    assert not differs.agrees
    assert differs.sentence.startswith("1.4 mm less than planned")
    keep_balance(book, car_id, good, NOW + timedelta(hours=2))
    (kept,) = compare_with_plan(book, car_id, plan, None)
    assert kept.measured.value == pytest.approx(wanted + 0.1, abs=6e-4)
    assert kept.measured.standard_uncertainty == pytest.approx(0.05, rel=0.01)


def test_the_curve_is_made_of_single_runs(bench: tuple[BenchBook, int, int]) -> None:
    """Each place is one run of `coast`, which is checked against other solvers elsewhere."""
    book, car_id, track_id = bench
    weigh_car(book, car_id, [45.0], 0.01, NOW)
    curve = balance_curve(book, car_id, track_id, mass_g=56.6, cg_height_mm=8.0)
    scene = set_scene(book, car_id, track_id)
    for share, time_s in list(zip(curve.shares, curve.times_s, strict=True))[::10]:
        car = replace(
            scene.description.car,
            mass_g=56.6,
            cg_height_mm=8.0,
            cg_ahead_of_rear_axle_mm=share * scene.description.car.wheelbase_mm,
        )
        run = coast(scene.track.track, car, scene.losses, scene.surroundings)
        assert run.finish_time_s == pytest.approx(time_s, abs=1e-4)
    assert curve.best_s == min(time for time in curve.times_s if time)
    assert curve.window is not None
    assert all(
        time is not None and (time <= (curve.best_s or 0) + 0.003)
        == (curve.window[0] <= share <= curve.window[1])
        for share, time in zip(curve.shares, curve.times_s, strict=True)
    )  # fmt: skip


def test_the_time_of_a_plan_is_that_of_the_planned_car(bench: tuple[BenchBook, int, int]) -> None:
    book, car_id, track_id = bench
    plans = list_kept_plans(book, car_id)
    now_s, times = predict_plans(book, car_id, track_id, plans)
    scene = set_scene(book, car_id, track_id)
    base_mm = scene.description.car.wheelbase_mm
    assert now_s is not None
    for plan, time_s in zip(plans, times, strict=True):
        car = replace(
            scene.description.car,
            mass_g=plan.plan.total_g,
            cg_height_mm=plan.plan.cg_height_mm,
            cg_ahead_of_rear_axle_mm=plan.plan.cg_ahead_of_rear_axle_mm / 42.0 * base_mm,
        )
        run = coast(scene.track.track, car, scene.losses, scene.surroundings)
        assert run.finish_time_s == pytest.approx(time_s, abs=1e-4)


@pytest.mark.parametrize("name", ["question", "plan"])
def test_a_plan_that_cannot_be_read_is_not_taken_over(
    bench: tuple[BenchBook, int, int], tmp_path: Path, name: str
) -> None:
    book, car_id, _ = bench
    with book.write() as session:
        sound = record(car_id, "broken")
        changed = {"question": sound.question, "plan": sound.plan, name: {"x": 1}}
        broken = replace(sound, question=changed["question"], plan=changed["plan"])
        add_ballast_plan(session, broken)
    target = tmp_path / "bench.zip"
    export_bench(book, target, NOW)
    with (
        BenchBook.open(tmp_path / "other") as other,
        pytest.raises(BadArchive, match=rf"ballast_plans\[2\]\.{name}"),
    ):
        import_bench(other, target)
