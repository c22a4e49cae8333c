"""How quantities are written on screen."""

from __future__ import annotations

import pytest

from hillbench import units
from hillbench.web.preferences import Preferences
from hillbench.web.showing import Showing, typed_again

METRIC = Showing(Preferences())
INCH = Showing(Preferences(mass_unit="oz", length_unit="in", distance_unit="ft"))


@pytest.mark.parametrize(
    ("value", "uncertainty", "written"),
    [
        (0.827, 0.119, "0.83 ± 0.12 g"),
        (0.827, 0.367, "0.8 ± 0.4 g"),
        (0.827, 0.96, "0.8 ± 1.0 g"),
        (37.2233, 0.00928, "37.223 ± 0.009 g"),
        (1234.0, 56.0, "1234 ± 56 g"),
    ],
)
def test_uncertainties_by_the_rule_of_particle_physics(
    value: float, uncertainty: float, written: str
) -> None:
    """The first two: Particle Data Group, Review of Particle Physics, introduction 5.3."""
    assert str(METRIC.mass(value, uncertainty)) == written


def test_the_chosen_unit_comes_first_and_the_other_beside() -> None:
    """1 oz = 28.349523125 g, 1 in = 25.4 mm, 1 ft = 0.3048 m, exactly (NIST SP 811, app. B)."""
    assert [str(figure) for figure in (METRIC.mass(56.69904625).first, INCH.mass(28.35).first)] == [
        "56.70 g",
        "1.000 oz",
    ]
    shown = INCH.length(50.8)
    assert (str(shown.first), str(shown.other)) == ("2.000 in", "50.80 mm")
    shown = METRIC.distance(3.048)
    assert (str(shown.first), str(shown.other)) == ("3.05 m", "10.00 ft")
    assert str(INCH.area(6.4516).first) == "1.00 in²"


def test_signs_zeros_and_degrees() -> None:
    assert str(METRIC.time(-0.0004)) == "0.000 s"
    assert str(METRIC.time(-0.0421)) == "−0.042 s"
    assert str(METRIC.angle(-3.25).first) in ("−3.2°", "−3.3°")
    assert str(METRIC.length(41.5).trimmed()) == "41.5 mm"
    assert str(METRIC.length(100.0).trimmed()) == "100 mm"
    assert str(METRIC.number(0.22)) == "0.22"


@pytest.mark.parametrize("value", [0.0, 0.01, 37.2, 41.275, 1000.0])
@pytest.mark.parametrize("unit", ["g", "oz"])
def test_what_is_put_into_a_form_reads_back(value: float, unit: str) -> None:
    text = typed_again(value, units.MASS, unit)
    assert units.parse_quantity(text, units.MASS, unit, "mass") == pytest.approx(value, abs=2e-3)
