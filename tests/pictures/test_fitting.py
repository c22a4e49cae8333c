from __future__ import annotations

from collections.abc import Callable

import pytest

from hillbench.fitting.advice import Advice, Verdict
from hillbench.fitting.change import Change
from hillbench.fitting.forecast import Forecast
from hillbench.fitting.misfit import Residual
from hillbench.pictures import palette
from hillbench.pictures.advice import advice_picture
from hillbench.pictures.drawing import MIDDLE_PX, NARROW_PX, WIDE_PX
from hillbench.pictures.posterior import PosteriorRow, posterior_picture
from hillbench.pictures.residual import residual_picture, residual_sentence
from tests.pictures import reading

ROWS = (
    PosteriorRow("wall friction, track", "", (0.09, 0.2, 0.46), (0.21, 0.22, 0.23), True),
    PosteriorRow("drag area, <Mustard>", "cm²", (2.4, 4.0, 6.6), (2.3, 3.9, 6.4), False),
)
RESIDUALS = (Residual("0 to 6 m", 0.02, 0.004, 30), Residual("6 to 12 m", -0.001, 0.004, 30))


def _advice(name: str, low: float | None, middle: float | None, high: float | None) -> Advice:
    forecast = Forecast(Change(name), middle, low, high, 9.0, 0.9, None, 0.0, None)
    return Advice(forecast, Verdict.UNSURE, "", "")


ADVICE = (
    _advice("add weight up to 56.95 g, and bring the bearings to “graphite”", 0.02, 0.1, 0.3),
    _advice("trim", -0.04, -0.01, 0.01),
    _advice("large axles", None, None, None),
)
PICTURES: dict[str, Callable[[int, bool], str]] = {
    "posterior": lambda w, s: posterior_picture(ROWS, width_px=w, standalone=s),
    "residual": lambda w, s: residual_picture(RESIDUALS, width_px=w, standalone=s),
    "residual-none": lambda w, s: residual_picture((), width_px=w, standalone=s),
    "advice": lambda w, s: advice_picture(ADVICE, width_px=w, standalone=s),
    "advice-none": lambda w, s: advice_picture((), width_px=w, standalone=s),
}


@pytest.mark.parametrize("width_px", [NARROW_PX, MIDDLE_PX, WIDE_PX])
@pytest.mark.parametrize("name", PICTURES)
def test_marks_lie_on_the_paper_in_known_styles(name: str, width_px: int) -> None:
    root = reading.read(PICTURES[name](width_px, False))
    assert root.get("role") == "img"
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    for element in root.iter():
        for style in (element.get("class") or "").split():
            assert style == "picture" or style in palette.STYLES
        for name_, most in (("x", width), ("x1", width), ("x2", width), ("cx", width)):
            assert -0.01 <= float(element.get(name_, 0.0)) <= most + 0.01
        for name_ in ("y", "y1", "y2", "cy"):
            assert 0.0 <= float(element.get(name_, 0.0)) <= height


@pytest.mark.parametrize("name", PICTURES)
def test_a_file_of_its_own_carries_its_colours(name: str) -> None:
    assert "var(" not in PICTURES[name](WIDE_PX, True)


def test_bars_carry_their_values() -> None:
    root = reading.read(posterior_picture(ROWS))
    after = reading.marks(root, "after")
    assert [float(bar.attrib["data-low"]) for bar in after] == [0.21, 2.3]
    assert any("drag area, <Mustard>" in text for text in reading.texts(root))


def test_bars_stand_in_the_order_of_their_values() -> None:
    root = reading.read(advice_picture(ADVICE))
    first, second = reading.marks(root, "interval")
    assert float(first.attrib["x"]) > float(second.attrib["x"])


def test_what_does_not_fit_is_said() -> None:
    assert residual_sentence(RESIDUALS) == "Not as computed: 0 to 6 m 0.020 s slower."
    assert residual_sentence(RESIDUALS[1:]) == "All computed times agree with the measured ones."
