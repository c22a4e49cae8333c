"""The registry of outside checks itself: it must be able to fail."""

from __future__ import annotations

import pytest

from tests.outside.registry import Check, Outside, differences, page, repeated_names


def _check(name: str, got: float = 1.0) -> Check:
    return Check("Length", name, "a ruler", "read", 1.0, got, 1e-3, "mm")


def test_a_value_outside_its_tolerance_fails_and_is_not_kept() -> None:
    kept: list[dict[str, str | float]] = []
    with pytest.raises(AssertionError, match="expected 1"):
        Outside("Length", kept).check(
            "rod", source="a ruler", how="read", expected=1.0, got=1.1, within=0.01
        )
    assert kept == []


@pytest.mark.parametrize("got", [float("nan"), float("inf")])
def test_a_value_that_is_no_number_fails(got: float) -> None:
    with pytest.raises(AssertionError):
        Outside("Length", []).check(
            "rod", source="a ruler", how="read", expected=1.0, got=got, rel=0.5
        )


def test_a_check_needs_one_tolerance_and_a_known_way_of_confirming() -> None:
    ask = Outside("Length", []).check
    with pytest.raises(ValueError, match="either"):
        ask("rod", source="a ruler", how="read", expected=1.0, got=1.0)
    with pytest.raises(ValueError, match="allowed"):
        ask("rod", source="a ruler", how="guess", expected=1.0, got=1.0, rel=0.1)


def test_the_page_agrees_with_the_checks_it_was_written_from() -> None:
    checks = [_check("rod"), _check("rail | left")]
    assert differences(checks, page(checks), complete=True) == []
    assert differences([_check("rod", got=1.0004)], page(checks), complete=False) == []


def test_a_new_check_and_a_lost_one_are_both_told() -> None:
    written = page([_check("rod")])
    assert "bar" in differences([_check("rod"), _check("bar")], written, complete=False)[0]
    assert differences([], written, complete=False) == []
    assert "rod" in differences([], written, complete=True)[0]


def test_a_name_stands_once_in_its_area() -> None:
    assert len(repeated_names([_check("rod"), _check("rod")])) == 1
