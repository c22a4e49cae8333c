"""Pictures of spin-downs and rolls: on the paper, in known styles, with their values on them."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from hillbench.pictures import palette
from hillbench.pictures.drawing import MIDDLE_PX, NARROW_PX, WIDE_PX
from hillbench.pictures.length_unit import FOOT
from hillbench.pictures.roll_test import RollDot, SmallUnit, roll_test_picture
from hillbench.pictures.spin_down import SpinRow, SpinWheel, spin_down_picture
from tests.pictures import reading

ROWS = (
    SpinRow("dry", 0.25, 0.27, 0.29),
    SpinRow("graphite <b>, round 12", 0.15, 0.16, 0.17),
)
WHEELS = (
    SpinWheel("Front left", "on", "fell by 41 % (34 to 47 %): go on", ROWS),
    SpinWheel("Front right", "stop", "fell by 1 %: nothing measurable, stop here", ROWS),
    SpinWheel("Rear left", "worse", "rose by 20 % (12 to 28 %): clean it first", ROWS),
    SpinWheel("Rear right", "open", "measured once", ROWS[:1]),
)
ROLLS = tuple(
    RollDot(2.0, drift, tail_first, back)
    for drift, tail_first, back in (
        (31.0, False, False), (25.0, False, True), (-30.0, True, False), (-33.0, True, True),
    )
)  # fmt: skip
PICTURES: dict[str, Callable[[int, bool], str]] = {
    "spins": lambda w, s: spin_down_picture(WHEELS, "Go on.", width_px=w, standalone=s),
    "rolls": lambda w, s: roll_test_picture(ROLLS, 0.015, "Left.", width_px=w, standalone=s),
    "rolls-one": lambda w, s: roll_test_picture(
        ROLLS[:1], 0.0, "Left.", along=FOOT, across=SmallUnit("in", 1 / 25.4), width_px=w,
        standalone=s,
    ),
}  # fmt: skip


@pytest.mark.parametrize("width_px", [NARROW_PX, MIDDLE_PX, WIDE_PX])
@pytest.mark.parametrize("name", PICTURES)
def test_marks_lie_on_the_paper_in_known_styles(name: str, width_px: int) -> None:
    root = reading.read(PICTURES[name](width_px, False))
    assert root.get("role") == "img"
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    for element in root.iter():
        for style in (element.get("class") or "").split():
            assert style == "picture" or style in palette.STYLES
        for name_ in ("x", "x1", "x2", "cx"):
            assert -0.01 <= float(element.get(name_, 0.0)) <= width + 0.01
        for name_ in ("y", "y1", "y2", "cy"):
            assert 0.0 <= float(element.get(name_, 0.0)) <= height


@pytest.mark.parametrize("name", PICTURES)
def test_a_file_of_its_own_carries_its_colours(name: str) -> None:
    assert "var(" not in PICTURES[name](WIDE_PX, True)


def test_bars_stand_and_reach_as_far_as_their_values() -> None:
    root = reading.read(spin_down_picture(WHEELS[:1], "Go on."))
    dry, graphite = reading.marks(root, "friction")
    assert (dry.get("data-low"), graphite.get("data-high")) == ("0.25", "0.17")
    # One scale from zero: places go as the values.
    ends = [float(bar.attrib["x"]) + float(bar.attrib["width"]) for bar in (dry, graphite)]
    begins = [float(bar.attrib["x"]) for bar in (dry, graphite)]
    per_unit = (ends[0] - ends[1]) / (0.29 - 0.17)
    assert begins[0] - begins[1] == pytest.approx(per_unit * 0.10, abs=0.05)
    assert any("graphite <b>, round 12" in text for text in reading.texts(root))


def test_what_follows_is_told_in_words_and_to_those_who_do_not_see_it() -> None:
    picture = spin_down_picture(WHEELS, "Another round is worth it.")
    told = " ".join(reading.texts(reading.read(picture)))
    assert "stop here" in told
    assert "clean it first" in told
    description = picture.split("<desc")[1].split("</desc>")[0]
    assert "Another round is worth it." in description
    assert "Rear left: rose by 20 %" in description


def test_rolls_to_the_left_stand_above_the_line() -> None:
    root = reading.read(roll_test_picture(ROLLS, 0.015, "Left."))
    heights = {}
    for mark in reading.marks(root, "roll"):
        inner = next((one for one in mark if one.get("cy")), mark)
        centre = inner.get("cy") or str(float(inner.attrib["y"]) + 4.0)
        heights[float(mark.attrib["data-drift"])] = float(centre)
    assert heights[31.0] < heights[25.0] < heights[-30.0] < heights[-33.0]
    # 0.015 /m over 2 m are 30 mm: the path ends where a drift of 30 mm would stand.
    path = next(one for one in root.iter() if one.tag.endswith("polyline"))
    end = reading.corners(path)[-1]
    per_mm = (heights[-33.0] - heights[31.0]) / 64.0
    assert end[1] == pytest.approx(heights[31.0] + per_mm, abs=0.2)


def test_units_are_those_of_the_reader() -> None:
    root = reading.read(PICTURES["rolls-one"](WIDE_PX, False))
    told = reading.texts(root)
    assert any(text.startswith("Left of the line, in") for text in told)
    assert any(text.endswith(" ft") for text in told)
