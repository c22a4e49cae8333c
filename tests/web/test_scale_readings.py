"""Readings typed in one line."""

from __future__ import annotations

import pytest

from hillbench.web.scale_readings import split_readings


@pytest.mark.parametrize(
    ("typed", "readings"),
    [
        ("37.21 37.24 37.22", ("37.21", "37.24", "37.22")),
        ("37.21 37.24 37.22 g", ("37.21 g", "37.24 g", "37.22 g")),
        ("37.21g 37.24g", ("37.21g", "37.24g")),
        ("37,21 37,24", ("37,21", "37,24")),
        ("37.21, 37.24", ("37.21", "37.24")),
        ("37,21; 37,24 ;", ("37,21", "37,24")),
        ("1 5/16 oz; 1 3/8 oz", ("1 5/16 oz", "1 3/8 oz")),
        ("1.31 oz 37.2 g", ("1.31 oz", "37.2 g")),
        ("37.2\n37.3\r\n", ("37.2", "37.3")),
        ("  37.2 ", ("37.2",)),
        ("about 37", ("about", "37")),
        ("", ()),
    ],
)
def test_split(typed: str, readings: tuple[str, ...]) -> None:
    assert split_readings(typed) == readings
