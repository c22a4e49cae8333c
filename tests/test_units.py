from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench import units
from hillbench.errors import InvalidInput
from hillbench.units import Dimension, convert, parse_quantity

DIMENSIONS = [
    units.MASS,
    units.LENGTH,
    units.DISTANCE,
    units.AREA,
    units.ANGLE,
    units.TIME,
    units.SPEED,
    units.FORCE,
]
typed_numbers = st.floats(min_value=-1e6, max_value=1e6, allow_nan=False)


def _grams(text: str) -> float:
    return parse_quantity(text, units.MASS, "g", "mass")


@given(value=typed_numbers, pick=st.sampled_from(DIMENSIONS), data=st.data())
def test_what_is_shown_in_a_unit_can_be_typed_back(
    value: float, pick: Dimension, data: st.DataObject
) -> None:
    unit = data.draw(st.sampled_from(sorted(pick.factors)))
    shown = convert(value, pick, unit)
    back = parse_quantity(f"{shown!r} {unit}", pick, "", "value")
    assert back == pytest.approx(value, rel=1e-12, abs=1e-300)


@given(value=typed_numbers)
def test_a_decimal_comma_is_a_decimal_point(value: float) -> None:
    text = f"{value:.3f}"
    assert _grams(text.replace(".", ",")) == _grams(text) == float(text)


@given(
    whole=st.integers(0, 99), top=st.integers(0, 999), bottom=st.integers(1, 999), gap=st.booleans()
)
def test_fractions(whole: int, top: int, bottom: int, gap: bool) -> None:
    between = " " if gap else "-"
    got = parse_quantity(f"{whole}{between}{top}/{bottom}", units.NUMBER, "", "value")
    assert got == pytest.approx(whole + top / bottom, rel=1e-15)


@given(value=st.floats(min_value=0.001, max_value=1e6), unit=st.sampled_from(["g", "oz", "gr"]))
def test_a_bare_number_is_in_the_default_unit(value: float, unit: str) -> None:
    bare = parse_quantity(repr(value), units.MASS, unit, "mass")
    assert bare == parse_quantity(f"{value!r}{unit}", units.MASS, "g", "mass")


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        (" 37 ", 37.0),
        ("+37.", 37.0),
        (",5", 0.5),
        ("-2 g", -2.0),
        ("−2 g", -2.0),
        ("1e1 G", 10.0),
        ("2OZ", 56.69904625),
        ("1/2 kg", 500.0),
        ("500 mg", 0.5),
        ("٣ g", 3.0),
    ],
)
def test_as_people_type_it(text: str, grams: float) -> None:
    assert _grams(text) == pytest.approx(grams, rel=1e-15)


@pytest.mark.parametrize(
    "text",
    [
        *("", " ", "g", "heavy", "1/0 g", "1e999", "nan", "inf", "--2", "1.2.3", "1,234.5"),
        *("3 g 4", "9" * 5000, "1e308 kg", "<b>3</b>", "1/2/3", "0x10", "1_000"),
    ],
)
def test_what_is_no_quantity_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        _grams(text)
    (problem,) = caught.value.problems
    assert problem.where == "mass"
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 400


@pytest.mark.parametrize("text", ["3 mm", "3 stone", "3 g/cm"])
def test_another_kind_of_unit_is_refused_and_the_units_are_named(text: str) -> None:
    with pytest.raises(InvalidInput, match="grain"):
        _grams(text)


@given(text=st.text(max_size=60))
def test_any_text_gives_a_finite_number_or_a_refusal(text: str) -> None:
    try:
        value = _grams(text)
    except InvalidInput:
        return
    assert math.isfinite(value)


def test_percent() -> None:
    assert parse_quantity("22 %", units.NUMBER, "", "friction") == pytest.approx(0.22)
