from __future__ import annotations

import pytest

from hillbench.ballast.deadline import Deadline
from hillbench.ballast.layout import Layout
from hillbench.ballast.places import pose
from hillbench.ballast.plan import plan_of, steps_of
from hillbench.ballast.solve import solve
from hillbench.ballast.stock import Putty, StockPiece, Strip
from tests.ballast.boxes import box_task

PLATE = StockPiece("plate", (8.0, 4.0, 1.0), 1, 4.0, lie_flat=True)
CUBE = StockPiece("cube", (2.0, 2.0, 2.0), 1, 1.0)


def test_steps_follow_the_scale_and_what_carries_what() -> None:
    """20 g of car, a plate that fills the floor, a cube on it: 24 g, then 25 g."""
    task = box_task((8.0, 4.0), 3.0, (CUBE, PLATE), limit_g=25.0)
    plan = plan_of(pose(task), solve(pose(task)).layout)
    steps = steps_of(plan, 20.0)
    assert [step.scale_reads_g for step in steps] == [24.0, 25.0]
    assert [one.rests_on for one in plan.placements] == ["floor", "plate (piece 1)"]
    assert "on piece 1" in steps[1].text
    assert plan.total_g == 25.0


def test_centre_of_gravity_is_the_sum_of_moments() -> None:
    """Textbook statics: (20*8 + 4*4) / 24 along, (20*5 + 4*1.5) / 24 up."""
    task = box_task((8.0, 4.0), 1.0, (PLATE,), limit_g=24.0)
    plan = plan_of(pose(task), solve(pose(task)).layout)
    assert plan.cg_ahead_of_rear_axle_mm == pytest.approx((20 * 8 + 4 * 4) / 24, abs=1e-9)
    assert plan.cg_height_mm == pytest.approx((20 * 5 + 4 * 1.5) / 24, abs=1e-9)
    assert plan.cg_side_mm == 0.0
    assert plan.sensitivity_mm == pytest.approx(4 * 0.5 / 24)


def test_putty_comes_last_and_stops_at_the_limit() -> None:
    task = box_task((10.0, 10.0), 5.0, (PLATE,), limit_g=24.3)
    task = type(task)(
        task.wheelbase_mm,
        24.3,
        task.cavity,
        task.stock,
        task.fixed,
        0.0,
        task.cg,
        Putty(10.0, 1.0),
        grid_mm=2.0,
    )
    plan = plan_of(pose(task), solve(pose(task)).layout)
    steps = steps_of(plan, 20.0)
    assert plan.putty is not None
    assert plan.putty.mass_g == pytest.approx(0.3)
    assert "stop at 24.30 g" in steps[-1].text


def test_strip_is_cut_to_the_length_that_the_limit_takes() -> None:
    strip = StockPiece("strip", (2.0, 1.0), 1, strip=Strip(2.0, 8.0, 2.0, 0.25))
    task = box_task((8.0, 2.0), 1.0, (strip,), limit_g=21.6)
    plan = plan_of(pose(task), solve(pose(task)).layout)
    assert [one.cut_mm for one in plan.placements] == [6.0]
    assert steps_of(plan, 20.0)[0].text.startswith("Cut 6 mm of strip")


def test_a_cancelled_search_returns_at_once_with_what_it_has() -> None:
    task = box_task((8.0, 4.0), 3.0, (CUBE, PLATE), limit_g=25.0)
    outcome = solve(pose(task), Deadline(cancelled=lambda: True))
    assert not outcome.is_proven
    assert outcome.layout.laid == ()


def test_better_plans_are_told_as_they_come() -> None:
    told: list[Layout] = []
    task = box_task((8.0, 4.0), 3.0, (CUBE, PLATE), limit_g=25.0)
    outcome = solve(pose(task), report=told.append)
    assert told
    shorts = [layout.score.short for layout in told]
    assert shorts == sorted(shorts, reverse=True)
    assert told[-1].score == outcome.layout.score
