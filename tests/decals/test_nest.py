from __future__ import annotations

import itertools
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity, union_all
from shapely.geometry import Polygon, box

from hillbench.decals.boxes import Box, Room
from hillbench.decals.exact_nest import Verdict, exact_nest
from hillbench.decals.nest import Nesting, Outline, nest
from hillbench.decals.nest_bound import least_sheets
from hillbench.decals.sheet_size import SheetSize, check_sheet
from hillbench.errors import InvalidInput

A5 = SheetSize(148.0, 210.0, 5.0, 6.0, 7.0, 8.0)
USABLE = box(5.0, 6.0, 141.0, 202.0)


def laid(outlines: list[Outline], found: Nesting) -> list[tuple[int, Polygon]]:
    return [
        (
            spot.sheet,
            affinity.translate(
                affinity.rotate(one.shape, spot.turn_deg, origin=(0, 0)), spot.x_mm, spot.y_mm
            ),
        )
        for one, spot in zip(outlines, found.spots, strict=True)
    ]


def require_clean(outlines: list[Outline], found: Nesting, gap_mm: float) -> None:
    """Inside the margins, no overlap, the gap kept: checked by another library's geometry."""
    pieces = laid(outlines, found)
    assert all(USABLE.buffer(1e-6).covers(shape) for _, shape in pieces)
    for (sheet, shape), (other_sheet, other) in itertools.combinations(pieces, 2):
        if sheet == other_sheet:
            assert shape.distance(other) >= gap_mm - 1e-6
    assert found.bound <= found.sheets


corner = st.tuples(st.floats(-20.0, 20.0), st.floats(-20.0, 20.0))
shapes = st.lists(corner, min_size=3, max_size=6).map(lambda c: Polygon(c).convex_hull.buffer(0.5))


@settings(max_examples=25, deadline=None)
@given(
    drawn=st.lists(shapes, min_size=1, max_size=25),
    gap_mm=st.floats(0.0, 4.0),
    turns=st.sampled_from(["none", "quarter", "any"]),
    groups=st.lists(st.sampled_from(["", "a", "b"]), min_size=25, max_size=25),
    fixed=st.lists(st.booleans(), min_size=25, max_size=25),
)
def test_every_layout_is_clean(
    drawn: list[Polygon], gap_mm: float, turns: str, groups: list[str], fixed: list[bool]
) -> None:
    outlines = [
        Outline(shape, grain_fixed=grain, group=group)
        for shape, group, grain in zip(drawn, groups, fixed, strict=False)
    ]
    found = nest(outlines, A5, gap_mm, turns)
    require_clean(outlines, found, gap_mm)
    for one, spot in zip(outlines, found.spots, strict=True):
        if turns == "none" or one.grain_fixed:
            assert spot.turn_deg == 0.0
        elif turns == "quarter":
            assert spot.turn_deg in (0.0, 90.0)
    area = sum(shape.area for shape in drawn)
    assert found.used_fraction == pytest.approx(area / (found.sheets * USABLE.area))


def test_a_group_lies_together() -> None:
    """No piece of another group comes between: the box round a group holds no other piece."""
    rng = np.random.default_rng(4)
    outlines = [
        Outline(box(0, 0, *rng.uniform(4, 22, 2)), group="names" if number % 3 == 0 else "")
        for number in range(36)
    ]
    found = nest(outlines, A5, 1.0)
    require_clean(outlines, found, 1.0)
    pieces = laid(outlines, found)
    group = [shape for one, (_, shape) in zip(outlines, pieces, strict=True) if one.group]
    sheets = {sheet for one, (sheet, _) in zip(outlines, pieces, strict=True) if one.group}
    assert len(sheets) == 1
    around = union_all(group).envelope
    others = [
        shape
        for one, (sheet, shape) in zip(outlines, pieces, strict=True)
        if not one.group and sheet in sheets
    ]
    assert all(around.intersection(other).area < 1e-9 for other in others)


def test_a_group_too_large_for_a_sheet_is_told() -> None:
    outlines = [Outline(box(0, 0, 100, 120), group="big") for _ in range(3)]
    found = nest(outlines, A5, 1.0)
    assert found.parted == ("big",)
    assert found.sheets == found.bound == 3


def test_any_angle_turns_a_leaning_strip_upright() -> None:
    """A strip of 150 × 6 mm leaning by 30° fits no A5 as it stands, and does when turned."""
    strip = affinity.rotate(box(0, 0, 150, 6), 30.0, origin=(0, 0))
    tall = [Outline(strip)]
    with pytest.raises(InvalidInput, match="make it smaller"):
        nest([Outline(affinity.rotate(box(0, 0, 195, 6), 30.0))], A5, 1.0, "none")
    found = nest([*tall, *tall], A5, 1.0, "any")
    require_clean([*tall, *tall], found, 1.0)
    boxes = [shape.bounds for _, shape in laid([*tall, *tall], found)]
    assert all(min(b[2] - b[0], b[3] - b[1]) == pytest.approx(6.0, abs=0.01) for b in boxes)


def test_two_hundred_and_fifty_items_in_time() -> None:
    rng = np.random.default_rng(5)
    outlines = [Outline(box(0, 0, *rng.uniform(4, 30, 2))) for _ in range(250)]
    began = time.process_time()
    found = nest(outlines, SheetSize(), 1.0)
    assert time.process_time() - began < 5.0
    assert found.sheets <= found.bound + 1
    assert found.used_fraction > 0.45


def test_bounds_by_area_and_by_large_pieces() -> None:
    room = Room(1000, 1000)
    assert least_sheets([Box(500, 500)] * 4, room) == 1
    assert least_sheets([Box(500, 500)] * 5, room) == 2
    # Four boxes of 0.26 of the area each, but no two fit beside each other.
    assert least_sheets([Box(510, 510)] * 4, room) == 4
    assert least_sheets([Box(900, 120, turnable=False)] * 8, room) == 1
    assert least_sheets([], room) == 0


def test_proof_that_fewer_sheets_cannot_do() -> None:
    """Two 3 × 3 squares need 18 of the 25 cells of a 5 × 5 sheet, and yet it holds only one."""
    room = Room(5, 5)
    assert exact_nest([Box(3, 3)] * 2, room, 1, 120.0)[0] is Verdict.IMPOSSIBLE
    verdict, places = exact_nest([Box(3, 2)] * 4, room, 1, 120.0)
    assert verdict is Verdict.FOUND  # four 3 × 2 round a hole of 1: a pinwheel
    assert len({(one.x, one.y) for one in places}) == 4
    found = nest(
        [Outline(box(0, 0, 60, 90))] * 5, SheetSize(120, 100, 0, 0, 0, 0), 0.0, proof_s=120.0
    )
    assert (found.sheets, found.bound, found.is_proven) == (3, 3, True)


@pytest.mark.parametrize(
    ("sheet", "sentence"),
    [
        (SheetSize(0.0, 297.0), "sheet.width_mm is 0 mm"),
        (SheetSize(210.0, 297.0, -1.0), "sheet.margin_left_mm is -1 mm"),
        (SheetSize(100.0, 50.0, 6, 24, 6, 24), "88 × 2 mm inside its margins"),
    ],
)
def test_bad_sheets(sheet: SheetSize, sentence: str) -> None:
    assert sentence in check_sheet(sheet, "sheet")[0].sentence()


def test_more_items_than_paper() -> None:
    with pytest.raises(InvalidInput, match=r"12 pieces, which take 3 sheets \(at least 3\)"):
        nest([Outline(box(0, 0, 60, 90))] * 12, A5, 2.0, most_sheets=2)
    assert nest([], A5, 2.0).sheets == 0
