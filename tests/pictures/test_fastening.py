from __future__ import annotations

import itertools

import pytest

from hillbench.fastening.depth import Stack, find_depths
from hillbench.fastening.designation import parse_drill, parse_thread
from hillbench.fastening.drill import Method
from hillbench.fastening.material import materials
from hillbench.fastening.options import Option, Setting
from hillbench.fastening.torque import frictions
from hillbench.pictures.drawing import NARROW_PX, WIDE_PX
from hillbench.pictures.fastening import fastening_picture
from hillbench.pictures.labels import text_width_px
from hillbench.pictures.thread_profile import external_ridges, internal_ridges
from tests.pictures import reading

M2 = parse_thread("M2")
OPTION = Option(M2, parse_drill("1.6mm"), Method.TAPPED)
STACK = Stack(6.0, 1.0, 10.0, 4.4)
DEPTHS = find_depths(M2, 1.6, STACK, Method.TAPPED)


def draw(width_px: int = WIDE_PX, stack: Stack | None = STACK, head: str = "pan") -> str:
    setting = Setting(
        *(materials()["zinc"], materials()["stainless"], 4.0, frictions()["dry"], 2.0),
        4.4 if stack else None,
        head,
    )
    depths = DEPTHS if stack else None
    return fastening_picture(OPTION, setting, stack, depths, "It holds.", width_px=width_px)


def spans(picture: str, mark: str) -> tuple[float, float, float, float]:
    """Return left, right, upper and lower end of the marks of one kind, px."""
    root = reading.read(picture)
    points = [one for element in reading.marks(root, mark) for one in reading.corners(element)]
    xs, ys = zip(*points, strict=True)
    return min(xs), max(xs), min(ys), max(ys)


@pytest.mark.parametrize("width_px", [NARROW_PX, WIDE_PX])
@pytest.mark.parametrize("head", ["pan", "socket cap", "countersunk"])
def test_everything_is_drawn_to_the_scale_of_the_bar(width_px: int, head: str) -> None:
    """The bar's length is in its words; the post is 4.4 mm wide and 10 mm high."""
    picture = draw(width_px, head=head)
    root = reading.read(picture)
    (bar,) = reading.marks(root, "scale")
    text = next(text for text in reading.texts(root) if text in ("5 mm", "1 mm"))
    px_per_mm = (float(bar.attrib["x2"]) - float(bar.attrib["x1"])) / float(text.split()[0])
    left, right, top, low = spans(picture, "post")
    assert (right - left) / px_per_mm == pytest.approx(4.4, abs=0.01)
    assert (low - top) / px_per_mm == pytest.approx(10.0, abs=0.01)
    *_, screw_low = spans(picture, "screw")
    assert (screw_low - top) / px_per_mm == pytest.approx(5.0, abs=0.01)
    *_, base_top, base_low = spans(picture, "base")
    assert (base_low - base_top) / px_per_mm == pytest.approx(1.0, abs=0.01)
    assert base_low == pytest.approx(top, abs=0.02)


@pytest.mark.parametrize("width_px", [NARROW_PX, WIDE_PX])
def test_words_stay_on_the_paper_and_apart(width_px: int) -> None:
    root = reading.read(draw(width_px))
    rows: list[tuple[float, float, float]] = []
    for element in root.iter(f"{reading.SVG}text"):
        x, y, text = float(element.attrib["x"]), float(element.attrib["y"]), element.text or ""
        wide = text_width_px(text, 12.0) * (-1.0 if element.get("text-anchor") == "end" else 1.0)
        low, high = min(x, x + wide), max(x, x + wide)
        assert low >= 0.0, text
        assert high <= width_px, text
        assert all(abs(y - other) > 12.0 or low > b or high < a for other, a, b in rows), text
        rows.append((y, low, high))


def test_without_lengths_it_says_that_base_and_post_are_assumed() -> None:
    root = reading.read(draw(stack=None))
    named = {element.get("id"): element.text or "" for element in root}
    assert "drawn by assumption" in named["fastening-description"]


def test_the_profile_is_that_of_the_standard() -> None:
    """Crest flat P/8 and root of the hole 7P/8 wide, ISO 68-1; flanks of screw and hole meet."""
    screw = external_ridges(M2, 0.0, 4.0)
    hole = internal_ridges(M2, M2.minor_mm, 4.0)
    crest = sorted(z for r, z in screw if r == pytest.approx(1.0))
    assert crest[1] - crest[0] == pytest.approx(0.4 / 8.0)
    ridge = sorted(z for r, z in hole if r == pytest.approx(M2.minor_mm / 2.0))
    assert ridge[1] - ridge[0] == pytest.approx(0.4 / 4.0)
    slopes = {
        round(abs((b[1] - a[1]) / (b[0] - a[0])), 6)
        for outline in (screw, hole)
        for a, b in itertools.pairwise(outline)
        if a[0] != b[0] and a[1] != b[1]
    }
    assert slopes == {round(3.0**-0.5, 6)}
