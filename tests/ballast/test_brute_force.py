"""The proven best against every plan there is, tried one by one in other code."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from hillbench.ballast.aims import Level
from hillbench.ballast.audit import faults
from hillbench.ballast.cavity import Ceiling, KeepOut
from hillbench.ballast.places import pose
from hillbench.ballast.plan import plan_of
from hillbench.ballast.solve import solve
from hillbench.ballast.stock import Putty, StockPiece, Strip
from hillbench.ballast.task import BallastTask, CgLimits
from tests.ballast.boxes import box_task
from tests.ballast.brute_force import Car, TooManyPlans
from tests.ballast.solving import as_a_whole, by_parts
from tests.ballast.tiny_cars import pieces_of, tiny_task

FLAT = StockPiece("plate", (4.0, 2.0, 1.0), 2, 3.0, lie_flat=True)
CUBE = StockPiece("cube", (2.0, 2.0, 2.0), 2, 2.5)
ROUND = StockPiece("round", (4.0, 2.0, 2.0), 1, 2.0, flat_top=False)

STRIP = StockPiece("strip", (2.0, 1.0), 1, strip=Strip(2.0, 4.0, 2.0, 0.5), lie_flat=True)


def _with(
    task: BallastTask, *, keep_outs: tuple[KeepOut, ...] = (), more: tuple[Ceiling, ...] = ()
) -> BallastTask:
    cavity = task.cavity
    changed = replace(cavity, keep_outs=keep_outs, ceiling=(*cavity.ceiling, *more))
    return replace(task, cavity=changed)


def _beside_the_line() -> BallastTask:
    """Return a car that leans to one side more than its pieces can undo."""
    task = box_task((4.0, 4.0), 2.0, (CUBE,), cg=CgLimits((0.0, 1.0), 0.1))
    return replace(task, fixed=(replace(task.fixed[0], y_mm=1.5),))


NAMED = {
    "stacking": box_task((4.0, 2.0), 4.0, (FLAT, CUBE)),
    "three layers": box_task((4.0, 2.0), 3.0, (StockPiece("plate", (4.0, 2.0, 1.0), 4, 1.0),)),
    "nothing on a round piece": box_task((4.0, 2.0), 4.0, (ROUND, FLAT)),
    "slope": box_task((8.0, 2.0), 4.0, (CUBE, FLAT), front_z_mm=1.0),
    "window behind": box_task((10.0, 2.0), 2.0, (CUBE, FLAT), cg=CgLimits((0.1, 0.2))),
    "window ahead": box_task((10.0, 2.0), 2.0, (CUBE, FLAT), cg=CgLimits((0.5, 0.6), 0.1)),
    "no room for anything": box_task((1.0, 1.0), 4.0, (CUBE,)),
    "overhang": box_task((6.0, 2.0), 3.0, (CUBE, StockPiece("long", (6.0, 2.0, 1.0), 1, 4.0))),
    "window out of reach": box_task((8.0, 2.0), 2.0, (CUBE, FLAT), cg=CgLimits((0.9, 0.95))),
    "side out of reach": _beside_the_line(),
    "limit that no sum meets": box_task((8.0, 4.0), 2.0, (CUBE, FLAT), limit_g=29.9),
    "seat that carries": _with(
        box_task((8.0, 2.0), 4.0, (CUBE, FLAT)),
        keep_outs=(KeepOut("seat", "box", (0.0, 4.0), (-1.0, 1.0), (None, 2.0)),),
    ),
    "leaning glass": _with(
        box_task((6.0, 6.0), 5.0, (CUBE, FLAT)),
        more=(Ceiling("glass", "side", None, None, 3.0, 1.0, 0.5),),
    ),
    "two parts": _with(
        box_task((10.0, 2.0), 2.0, (CUBE, FLAT), cg=CgLimits((0.35, 0.4))),
        keep_outs=(KeepOut("wall", "box", (4.0, 6.0), (-1.0, 1.0), (None, 9.0)),),
    ),
    "strip": box_task((8.0, 2.0), 2.0, (STRIP,), limit_g=22.1),
    "putty": replace(
        box_task((8.0, 4.0), 3.0, (FLAT,), limit_g=26.5), putty=Putty(10.0, 1.0), grid_mm=2.0
    ),
}


def brute(task: BallastTask, most_plans: int = 20_000) -> tuple[int, int, int, int]:
    return Car(task, pieces_of(task), most_plans).search().best()


@pytest.mark.parametrize("name", NAMED)
def test_named_cars(name: str) -> None:
    task = NAMED[name]
    best = brute(task)
    assert by_parts(pose(task)) == best
    assert as_a_whole(pose(task)) == best


@pytest.mark.parametrize("start", range(0, 48, 8))
def test_random_tiny_cars(start: int) -> None:
    """Both searches find what the brute force finds; cars that are not tiny are left out."""
    tried = 0
    for seed in range(start, start + 8):
        task = tiny_task(random.Random(seed))
        try:
            best = brute(task, 400)
        except TooManyPlans:
            continue
        posed = pose(task)
        assert by_parts(posed) == best, seed
        assert as_a_whole(posed) == best, seed
        tried += 1
    assert tried >= 3


@pytest.mark.parametrize("name", ["stacking", "window ahead", "no room for anything"])
def test_the_race_ends_with_the_same_values_and_a_plan_that_has_them(name: str) -> None:
    posed = pose(NAMED[name])
    outcome = solve(posed)
    assert outcome.is_proven
    assert tuple(level.bound for level in outcome.levels) == brute(NAMED[name])
    assert outcome.level(Level.PIECES).value == outcome.layout.score.pieces
    assert faults(NAMED[name], plan_of(posed, outcome.layout)) == ()
