"""A page follows a search from a thread and stops it when it likes."""

from __future__ import annotations

import threading
import time

from hillbench.ballast.aims import Level
from hillbench.ballast.audit import faults
from hillbench.ballast.plan import Plan
from hillbench.usecases.plan_ballast import Planned, answer_of, plan_ballast
from tests.ballast.realistic_cars import CARS

PATIENCE_S = 60.0


def test_a_search_in_a_thread_is_followed_and_stopped() -> None:
    """A tight car is stopped at its first plan; what it had by then is whole and checked."""
    task, stop = CARS["coupé, tight"], threading.Event()
    plans: list[Plan] = []
    proven: list[Level] = []
    done: list[Planned] = []

    def improved(plan: Plan) -> None:
        plans.append(plan)
        stop.set()

    def work() -> None:
        done.append(
            plan_ballast(
                task,
                now=time.monotonic,
                cancelled=stop.is_set,
                improved=improved,
                proven=proven.append,
                explained=False,
            )
        )

    thread = threading.Thread(target=work)
    thread.start()
    thread.join(PATIENCE_S)
    assert not thread.is_alive()
    assert plans
    assert done[0].plan == plans[-1]
    assert faults(task, done[0].plan) == ()
    answer = answer_of(done[0])
    assert answer.status == "best found"
    assert answer.total_g <= task.limit_g - task.scale_guard_g
    assert Level.HEIGHT not in proven


def test_better_plans_come_one_after_the_other() -> None:
    plans: list[Plan] = []
    proven: list[Level] = []
    planned = plan_ballast(
        CARS["coupé, flat pieces"],
        now=time.monotonic,
        improved=plans.append,
        proven=proven.append,
    )
    assert proven == list(Level)
    assert plans[-1] == planned.plan
    assert len(plans) >= 2
    heights = [plan.cg_height_mm for plan in plans if plan.total_g > 49.94]
    assert heights[0] > planned.plan.cg_height_mm
