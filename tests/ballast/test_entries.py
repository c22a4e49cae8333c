"""Each entry that cannot be used is told in one sentence, and nothing is computed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from hillbench.ballast.cavity import Ceiling, KeepOut
from hillbench.ballast.entries import require_task
from hillbench.ballast.stock import StockPiece, Strip
from hillbench.ballast.task import BallastTask, CgLimits
from hillbench.errors import InvalidInput
from tests.ballast.boxes import box_task

BAR = StockPiece("bar", (4.0, 2.0, 1.0), 2, 0.09)
GOOD = box_task((10.0, 6.0), 5.0, (BAR,))
ALL = KeepOut("everything", "box", (-1.0, 11.0), (-4.0, 4.0), (None, None))


def cavity(**change: Any) -> BallastTask:
    return replace(GOOD, cavity=replace(GOOD.cavity, **change))


def stock(**change: Any) -> BallastTask:
    return replace(GOOD, stock=(replace(BAR, **change),))


BAD = {
    "cavity without volume": (cavity(x_mm=(5.0, 5.0)), "cavity.x_mm"),
    "cavity narrower than a cell": (cavity(y_mm=(0.0, 1.0)), "cavity"),
    "ceiling below the floor": (cavity(floor_z_mm=9.0), "cavity.ceiling"),
    "no ceiling": (cavity(ceiling=()), "cavity.ceiling"),
    "keep-outs cover everything": (cavity(keep_outs=(ALL,)), "cavity.keep_outs"),
    "window outside the wheelbase": (replace(GOOD, cg=CgLimits((0.9, 1.2))), "cg.window"),
    "window the wrong way round": (replace(GOOD, cg=CgLimits((0.6, 0.4))), "cg.window"),
    "limit below the bare car": (replace(GOOD, limit_g=19.0), "limit_g"),
    "piece of no size": (stock(size_mm=(0.0, 2.0, 1.0)), "stock[0].size_mm"),
    "piece of 10 kg": (stock(mass_g=10_000.0), "stock[0].mass_g"),
    "500 kinds": (replace(GOOD, stock=(BAR,) * 500), "stock"),
    "no stock": (replace(GOOD, stock=()), "stock"),
    "mass and size that contradict": (stock(mass_g=5.0), "stock[0]"),
    "lead that weighs like tin": (stock(metal="lead", mass_g=0.058), "stock[0]"),
    "unknown metal": (stock(metal="adamant"), "stock[0].metal"),
    "no mass": (stock(mass_g=None), "stock[0].mass_g"),
    "two sizes": (stock(size_mm=(1.0, 2.0)), "stock[0].size_mm"),
    "strip with a mass": (stock(strip=Strip(2.0, 4.0, 1.0, 0.02)), "stock[0].mass_g"),
    "unknown shape": (stock(shape="ball"), "stock[0].shape"),
    "no bare car": (replace(GOOD, fixed=()), "fixed"),
    "grid too fine": (replace(GOOD, grid_mm=0.05), "grid_mm"),
    "grid between tenths": (replace(GOOD, grid_mm=0.55), "grid_mm"),
    "ceiling of no kind": (cavity(ceiling=(Ceiling("roof", "dome"),)), "cavity.ceiling[0].kind"),
    "profile with one end": (
        cavity(ceiling=(Ceiling("roof", "profile", (0.0, 5.0)),)),
        "cavity.ceiling[0]",
    ),
    "cylinder without radius": (
        cavity(keep_outs=(KeepOut("post", "cylinder", 2.0, 0.0),)),
        "cavity.keep_outs[0].radius_mm",
    ),
    "box with one end": (
        cavity(keep_outs=(KeepOut("seat", "box", 2.0, (0.0, 1.0)),)),
        "cavity.keep_outs[0].x_mm",
    ),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_entries_are_named(name: str) -> None:
    task, where = BAD[name]
    with pytest.raises(InvalidInput) as caught:
        require_task(task)
    assert len(caught.value.problems) == 1, caught.value
    sentence = caught.value.problems[0].sentence()
    assert sentence.startswith(where)
    assert sentence.count("\n") == 0


def test_a_good_task_passes() -> None:
    assert require_task(GOOD) is GOOD
