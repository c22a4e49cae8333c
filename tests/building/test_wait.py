"""A wait survives anything but is never told to be over too early."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from hillbench.building.wait import wait_now


def test_a_wait_runs_down_and_ends() -> None:
    assert wait_now(0.0, 600.0, 0.0, 240.0).left_s == 360.0
    assert wait_now(0.0, 600.0, 240.0, 900.0).left_s == 0.0
    assert wait_now(0.0, 600.0, 240.0, 239.0).set_back_s == 0.0, "clocks are corrected by a second"


def test_a_clock_set_back_is_noticed_and_the_wait_goes_on_from_there() -> None:
    found = wait_now(0.0, 600.0, 400.0, -3200.0)
    assert found.set_back_s == 3600.0
    assert found.left_s == 200.0


@given(
    wait=st.floats(1.0, 1e6), before=st.floats(0.0, 1e6), back=st.floats(3.0, 1e7),
)  # fmt: skip
def test_a_clock_set_back_never_shortens_or_lengthens_a_wait(
    wait: float, before: float, back: float
) -> None:
    found = wait_now(0.0, wait, before, before - back)
    assert 0.0 <= found.left_s <= wait
    assert found.left_s == max(wait - before, 0.0)
    assert found.set_back_s > 0.0
