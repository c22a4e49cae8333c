from __future__ import annotations

from dataclasses import replace

from hillbench.ballast.cavity import KeepOut
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.explain import WhyNot, explain
from hillbench.ballast.places import pose
from hillbench.ballast.plan import Status, status_of
from hillbench.ballast.solve import solve
from hillbench.ballast.stock import StockPiece
from hillbench.ballast.task import BallastTask, CgLimits
from tests.ballast.boxes import box_task

BAR = StockPiece("bar", (4.0, 2.0, 2.0), 4, 2.0, lie_flat=True)
SEAT = KeepOut("rear seat", "box", (4.0, 8.0), (-1.0, 1.0), (None, None))


def why(task: BallastTask) -> tuple[Status, WhyNot]:
    posed = pose(task)
    outcome = solve(posed)
    return status_of(posed, outcome), explain(task, posed, outcome, Deadline())


def test_room_that_binds_names_what_would_free_it() -> None:
    """8 x 2 x 2 mm takes two bars; the seat stands where the second would lie."""
    task = box_task((8.0, 2.0), 2.0, (BAR,), limit_g=24.0)
    task = replace(task, cavity=replace(task.cavity, keep_outs=(SEAT,)))
    status, found = why(task)
    assert status is Status.IMPOSSIBLE
    assert found.sentence.startswith("2.00 g short of 24.00 g, proven: there is no room")
    best = found.remedies[0]
    assert (best.text, best.gained_g, best.reached_g) == ("taking out the rear seat", 2.0, 24.0)


def test_stock_that_ends_names_what_to_buy() -> None:
    task = box_task((8.0, 2.0), 2.0, (replace(BAR, count=1),), limit_g=24.0)
    status, found = why(task)
    assert status is Status.PROVEN
    assert "every piece in the drawer is in" in found.sentence
    texts = {one.text: one for one in found.remedies}
    assert texts["one more bar"].gained_g == 2.0
    assert texts["one more bar"].reached_g == 24.0


def test_a_balance_out_of_reach_is_told() -> None:
    task = box_task((8.0, 2.0), 2.0, (BAR,), limit_g=24.0, cg=CgLimits((0.8, 0.9)))
    status, found = why(task)
    assert status is Status.IMPOSSIBLE
    assert "behind its window" in found.sentence


def test_kinds_without_room_are_named() -> None:
    long = StockPiece("long bar", (20.0, 2.0, 2.0), 1, 1.0)
    _, found = why(box_task((8.0, 2.0), 2.0, (BAR, long), limit_g=24.5))
    assert found.fits_nowhere == ("long bar",)
    assert "no room anywhere for the long bar" in found.sentence


def test_nothing_is_said_where_nothing_binds() -> None:
    status, found = why(box_task((8.0, 2.0), 2.0, (BAR,), limit_g=24.0))
    assert (status, found.sentence) == (Status.PROVEN, "")
