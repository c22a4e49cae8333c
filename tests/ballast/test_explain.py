from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.cavity import KeepOut
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.explain import WhyNot, explain
from hillbench.ballast.packing import Found
from hillbench.ballast.places import pose
from hillbench.ballast.solve import LevelResult, Outcome, solve
from hillbench.ballast.status import Status, status_of
from hillbench.ballast.stock import StockPiece
from hillbench.ballast.sums import sums_of
from hillbench.ballast.task import BallastTask, CgLimits
from hillbench.ballast.whole import Whole
from hillbench.usecases.plan_ballast import read_ballast_question
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


def with_keep_outs(task: BallastTask, *keep_outs: KeepOut) -> BallastTask:
    return replace(task, cavity=replace(task.cavity, keep_outs=keep_outs))


def test_volume_freed_is_told() -> None:
    """The seat takes 4 x 2 x 2 mm: 0.016 cm³; of a seat of 40 x 20 x 20 mm, 16 cm³."""
    bar = StockPiece("bar", (40.0, 20.0, 20.0), 2, 100.0, lie_flat=True)
    seat = replace(SEAT, x_mm=(40.0, 80.0), y_mm=(-10.0, 10.0))
    task = box_task((80.0, 20.0), 20.0, (bar,), limit_g=220.0)
    task = replace(task, wheelbase_mm=100.0)
    _, found = why(with_keep_outs(task, seat))
    best = found.remedies[0]
    assert (best.text, best.reached_g) == ("taking out the rear seat", 220.0)
    assert math.isclose(best.freed_cm3, 16.0)
    assert "free 16.0 cm³ and reach 220.00 g" in found.sentence
    assert found.binds == "rear seat"


def test_posts_and_axles_are_named_but_never_taken_out() -> None:
    task = box_task((8.0, 2.0), 2.0, (BAR,), limit_g=24.0)
    _, found = why(with_keep_outs(task, replace(SEAT, name="rear post")))
    assert found.binds == "rear post"
    assert "the rear post is most in the way" in found.sentence
    assert not any("post" in one.text for one in found.remedies)


def test_two_changes_where_no_single_one_is_enough() -> None:
    """Three bars are asked for, two are there, and a seat stands where the third would lie."""
    task = box_task((12.0, 2.0), 2.0, (replace(BAR, count=2),), limit_g=26.0)
    _, found = why(with_keep_outs(task, replace(SEAT, x_mm=(4.0, 12.0))))
    two = [one for one in found.remedies if one.changes == 2]
    assert [one.text for one in two if one.enough] == ["taking out the rear seat and one more bar"]
    assert two[0].reached_g == 26.0
    assert two[0].effort == 5
    assert found.remedies[0] == two[0]


def test_remedies_go_by_grams_for_the_effort() -> None:
    """Without the rear seat one more bar goes in, without the front seat two more."""
    task = box_task((20.0, 2.0), 2.0, (replace(BAR, count=9),), limit_g=40.0)
    seats = (SEAT, KeepOut("front seat", "box", (12.0, 20.0), (-1.0, 1.0), (None, None)))
    _, found = why(with_keep_outs(task, *seats))
    single = [one for one in found.remedies if one.changes == 1]
    assert [one.text for one in single] == ["taking out the front seat", "taking out the rear seat"]
    rates = [one.gained_g / one.effort for one in single]
    assert len(rates) >= 2
    assert rates == sorted(rates, reverse=True)


def test_a_window_missed_tells_the_mass_that_keeps_to_it() -> None:
    """Alone, 20 g at 8 mm is right; a bar anywhere ahead of 8.2 mm draws it out of its window.

    With one bar of 2 g at 10 mm: (160 + 20) / 22 = 8.18 mm, 0.409 of the wheelbase.
    """
    wall = KeepOut("wall", "box", (0.0, 8.0), (-1.0, 1.0), (None, None))
    task = box_task((12.0, 2.0), 2.0, (replace(BAR, count=1),), limit_g=22.0)
    task = replace(with_keep_outs(task, wall), cg=CgLimits((0.3, 0.405)))
    status, found = why(task)
    assert status is Status.IMPOSSIBLE
    assert found.inside_g == 20.0
    assert "20.00 g would lie inside it" in found.sentence


FORMAT_EXAMPLE = Path(__file__).with_name("format_example.json")


def test_the_example_of_the_format() -> None:
    """Four quarter ounces and putty reach the limit only ahead of the window.

    Nothing longer than 7 mm lies behind the post, so the pieces start 9 mm ahead of the rear
    axle. Under the roof three go on each other; one that lies lengthwise, 19 mm long, needs
    28 - 4.75 mm of what carries it, so a stack has its middles at 15.5, 17 and 18.5 mm at best
    and the fourth piece at 28.5 mm or more. Even with the putty at 25 mm that is
    (585 + 7.087 * 79.5 + 2.602 * 25) / 56.95 = 21.31 mm; where it goes in, on the fourth piece
    from 23.5 mm on, 21.6 mm and more: past the window's end at 21.5 mm.
    """
    task = read_ballast_question(FORMAT_EXAMPLE.read_text(encoding="utf-8"))
    posed = pose(task)
    verdict = Whole(sums_of(posed), Level.WINDOW, Settled(short=0)).solve(Deadline())
    assert verdict.found is Found.YES
    assert verdict.bound == 13
    assert verdict.layout is not None
    levels = [LevelResult(level, 0, 0, proven=True) for level in Level]
    found = explain(task, posed, Outcome(verdict.layout, tuple(levels)), Deadline())
    assert "0.24 mm ahead of its window; 54.35 g would lie inside it" in found.sentence
    assert found.inside_g == pytest.approx(54.348)
    enough = [one for one in found.remedies if one.enough]
    assert enough[0].text == "four 5 mm tungsten cubes"
