"""Every plan stands before a checker that works in millimetres; a damaged one does not."""

from __future__ import annotations

import dataclasses
import random

import pytest

from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.audit import faults
from hillbench.ballast.benders import Decomposition
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.layout import Layout
from hillbench.ballast.places import pose
from hillbench.ballast.plan import Placement, Plan, plan_of
from hillbench.ballast.sums import sums_of
from hillbench.ballast.task import BallastTask
from tests.ballast.realistic_cars import CARS
from tests.ballast.tiny_cars import tiny_task


def any_plan(task: BallastTask) -> Plan:
    posed = pose(task)
    verdict = Decomposition(sums_of(posed)).settle(Level.MASS, Settled(), Deadline(effort=2.0))
    assert verdict.layout is not None
    return plan_of(posed, verdict.layout)


@pytest.mark.parametrize("start", range(1000, 1300, 50))
def test_plans_of_random_cavities_stand(start: int) -> None:
    """300 random cavities, a tenth of them on the fine grid of a real car."""
    pieces = 0
    for seed in range(start, start + 50):
        task = tiny_task(random.Random(seed))
        plan = any_plan(task)
        assert faults(task, plan) == (), seed
        pieces += len(plan.placements)
    assert pieces >= 25


def lowest_plan(name: str) -> tuple[BallastTask, Plan]:
    """Return the first plan of a realistic car: whatever of the lowest counts goes in."""
    task, found = CARS[name], list[Layout]()
    posed = pose(task)
    settled = Settled(short=0, outside=0)
    Decomposition(sums_of(posed)).settle(
        Level.HEIGHT, settled, Deadline(cancelled=lambda: bool(found)), found.append
    )
    return task, plan_of(posed, found[0])


@pytest.mark.parametrize("name", ["open car", "coupé, flat pieces"])
def test_plans_of_real_cars_stand(name: str) -> None:
    task, plan = lowest_plan(name)
    assert faults(task, plan) == ()
    assert plan.placements


def moved(plan: Plan, number: int, **change: float) -> Plan:
    """Return a plan with one piece moved."""
    placements = list(plan.placements)
    old = placements[number]
    placements[number] = dataclasses.replace(
        old, **{axis: getattr(old, axis) + by for axis, by in change.items()}
    )
    return dataclasses.replace(plan, placements=tuple(placements))


def test_damaged_plans_fall() -> None:
    task, plan = lowest_plan("open car")
    for number in range(len(plan.placements)):
        assert faults(task, moved(plan, number, x_mm=60.0))
        assert faults(task, moved(plan, number, y_mm=25.0))
        assert faults(task, moved(plan, number, z_mm=-1.0))
        assert faults(task, moved(plan, number, z_mm=0.4))
        assert faults(task, moved(plan, number, mass_g=1.0))


def test_a_piece_in_a_post_falls() -> None:
    task, plan = lowest_plan("open car")
    post = next(one for one in task.cavity.keep_outs if one.name == "front post")
    assert isinstance(post.x_mm, float)
    inside = dataclasses.replace(plan.placements[0], x_mm=post.x_mm - 1.0, y_mm=-1.0)
    found = faults(task, dataclasses.replace(plan, placements=(inside, *plan.placements[1:])))
    assert any("front post" in fault for fault in found)


def test_a_piece_twice_falls() -> None:
    task, plan = lowest_plan("open car")
    last = dataclasses.replace(plan.placements[0], number=len(plan.placements) + 1)
    found = faults(task, dataclasses.replace(plan, placements=(*plan.placements, last)))
    assert any("overlap" in fault for fault in found)


def test_a_round_piece_carries_nothing() -> None:
    task, plan = lowest_plan("open car")
    first = plan.placements[0]
    above = Placement(
        2,
        "zinc bar",
        first.x_mm,
        first.y_mm,
        first.z_mm + first.size_mm[2],
        first.size_mm,
        1.0,
        2,
        1,
        "piece 1",
    )
    round_ = dataclasses.replace(first, shape="cylinder")
    found = faults(task, dataclasses.replace(plan, placements=(round_, above)))
    assert any("round" in fault for fault in found)
