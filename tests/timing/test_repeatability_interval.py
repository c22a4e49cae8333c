"""The interval of a spread against the table of the chi-square distribution."""

from __future__ import annotations

import math

import pytest

from hillbench.timing.summary import Repeatability

# NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.4: 5 and 95 % points.
CHI_SQUARE = {1: (0.004, 3.841), 5: (1.145, 11.070), 10: (3.940, 18.307), 30: (18.493, 43.773)}


@pytest.mark.parametrize("freedom", sorted(CHI_SQUARE))
def test_the_interval_is_that_of_the_table(freedom: int) -> None:
    low, high = Repeatability(0.05, freedom, 0.0).interval_s()
    least, most = CHI_SQUARE[freedom]
    assert low == pytest.approx(0.05 * math.sqrt(freedom / most), rel=2e-4)
    # The table has three decimals, few of them for one degree of freedom.
    assert high == pytest.approx(0.05 * math.sqrt(freedom / least), rel=0.0006 / least)
