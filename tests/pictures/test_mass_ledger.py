"""The mass ledger drawn: bars and dots stand where the masses are."""

from __future__ import annotations

import pytest

from hillbench.pictures import palette
from hillbench.pictures.drawing import MIDDLE_PX, NARROW_PX, WIDE_PX
from hillbench.pictures.mass_ledger import LedgerBar, MassUnit, ledger_picture, ledger_sentence
from tests.pictures import reading

BARS = (
    LedgerBar("Weigh it bare", 37.2, 37.2, True, 37.2, 0.004),
    LedgerBar("Trim the <interior> & seats", 37.2, 35.7, True),
    LedgerBar("Fit 3 × quarter ounce", 35.7, 56.96, True, 49.87, 0.1, disagrees=True),
    LedgerBar("Close with screws", 49.87, 50.43, False),
)
WIDTHS = (WIDE_PX, MIDDLE_PX, NARROW_PX)


@pytest.mark.parametrize("width_px", WIDTHS)
@pytest.mark.parametrize("standalone", [False, True])
@pytest.mark.parametrize("bars", [BARS, ()], ids=["full", "empty"])
def test_it_is_well_formed_in_every_width(
    bars: tuple[LedgerBar, ...], width_px: int, standalone: bool
) -> None:
    picture = ledger_picture(bars, 57.0, width_px=width_px, standalone=standalone)
    root = reading.read(picture)
    used = {name for one in root.iter() for name in (one.get("class") or "").split()}
    assert used <= {*palette.STYLES, "picture"}
    for one in root.iter(f"{reading.SVG}text"):
        assert 0.0 <= float(one.attrib["x"]) <= width_px


@pytest.mark.parametrize("width_px", WIDTHS)
def test_lengths_on_the_paper_are_those_of_the_masses(width_px: int) -> None:
    root = reading.read(ledger_picture(BARS, 57.0, width_px=width_px))
    trim, fit, _close = reading.marks(root, "change")
    widths = [float(bar.attrib["width"]) for bar in (trim, fit)]
    assert widths[0] / widths[1] == pytest.approx(1.5 / 21.26, rel=0.01)
    (limit,) = reading.marks(root, "limit")
    end_px = float(fit.attrib["x"]) + widths[1]
    per_g = widths[1] / 21.26
    assert float(limit.attrib["x1"]) - end_px == pytest.approx((57.0 - 56.96) * per_g, abs=0.05)


def test_it_says_in_words_what_it_shows() -> None:
    said = ledger_sentence(BARS, 57.0)
    assert "49.87\u00a0g weighed, which disagrees" in said
    assert "The class allows 57.00\u00a0g." in said
    ounces = ledger_sentence(BARS, 57.0, MassUnit("oz", 28.349523125, 3))
    assert "The class allows 2.011\u00a0oz." in ounces
    assert ledger_sentence(()) == "Nothing changes the mass."


def test_names_are_never_markup() -> None:
    assert "<interior>" not in ledger_picture(BARS, None, standalone=True)
