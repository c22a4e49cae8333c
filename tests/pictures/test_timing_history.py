"""The picture of times over the months, read back from its marks."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from hillbench.pictures.drawing import NARROW_PX, WIDE_PX
from hillbench.pictures.timing_history import HistoryPoint, history_picture
from tests.pictures.reading import marks, read, texts

START = datetime(2026, 1, 5, 12, tzinfo=UTC)


def points(cars: tuple[str, ...] = ("Plum",), count: int = 4) -> list[HistoryPoint]:
    return [
        HistoryPoint(
            START + timedelta(days=30 * month),
            10.30 + 0.05 * place - 0.02 * month,
            10.34 + 0.05 * place - 0.02 * month,
            10.38 + 0.05 * place - 0.02 * month,
            car,
        )
        for month in range(count)
        for place, car in enumerate(cars)
    ]


@pytest.mark.parametrize("width_px", [NARROW_PX, WIDE_PX])
def test_bars_are_as_high_as_their_intervals(width_px: int) -> None:
    shown = points()
    root = read(history_picture(shown, "Times", "They fell.", width_px=width_px))
    boxes = marks(root, "outing")
    heights = [float(box.attrib["height"]) for box in boxes]
    tops = [float(box.attrib["y"]) for box in boxes]
    assert len(boxes) == len(shown)
    # Every interval is 0.08 s, and each is 0.02 s below the one before.
    assert max(heights) - min(heights) < 0.02
    falls = [(after - before) / heights[0] for before, after in pairwise(tops)]
    assert falls == pytest.approx([0.25, 0.25, 0.25], abs=0.01)
    lefts = [float(box.attrib["x"]) for box in boxes]
    steps = [after - before for before, after in pairwise(lefts)]
    assert steps == pytest.approx([steps[0]] * 3, abs=0.05)


def test_several_cars_are_named_at_their_lines_and_one_is_not() -> None:
    two = texts(read(history_picture(points(("Plum", "A car of a very long name")), "T", "S")))
    assert "Plum" in two
    assert "A car of a very l…" in two
    assert "Plum" not in texts(read(history_picture(points(), "T", "S")))


def test_names_do_not_touch_where_cars_are_as_fast() -> None:
    same = [HistoryPoint(START, None, 10.4, None, f"Car {number}") for number in range(4)]
    root = read(history_picture(same, "T", "S"))
    levels = sorted(
        float(element.attrib["y"])
        for element in root.iter("{http://www.w3.org/2000/svg}text")
        if (element.text or "").startswith("Car ")
    )
    assert all(below - above >= 14.0 for above, below in pairwise(levels))


def test_it_tells_what_it_says_and_stands_alone() -> None:
    text = history_picture(points(count=1), "Times <b>", "They fell & rose.", standalone=True)
    root = read(text)
    assert "Times &lt;b&gt;" in text
    assert root.attrib["role"] == "img"
    assert [element for element in root.iter() if element.get("class")] == [root]
