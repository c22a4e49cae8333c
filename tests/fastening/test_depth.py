from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.errors import InvalidInput
from hillbench.fastening.bow import Base, check_base, find_bow
from hillbench.fastening.depth import Stack, check_stack, find_depths, tap_kinds, tap_lead_mm
from hillbench.fastening.designation import parse_thread
from hillbench.fastening.drill import Method
from hillbench.fastening.material import materials
from hillbench.fastening.rivet import head_removal
from hillbench.fastening.thread import Thread, threads

M2 = parse_thread("M2")
ZINC = materials()["zinc"]


def test_depths_of_a_worked_case() -> None:
    """M2, 1.6 mm drill, 6 mm screw through 1 mm of base into 10 mm, plug tap: by hand.

    Reach 5.0; thread one pitch more, 5.4; lead 5 × 0.4 = 2.0 and chips 0.4, so 7.8 at full
    diameter; point 0.8/tan 59° = 0.481. Full threads that meet: 5.0 - 0.4.
    """
    depths = find_depths(M2, 1.6, Stack(6.0, 1.0, 10.0, 4.4), Method.TAPPED, "plug")
    assert depths.screw_mm == pytest.approx(5.0)
    assert depths.tap_mm == pytest.approx(5.4)
    assert depths.tap_lead_mm == pytest.approx(2.0)
    assert depths.drill_mm == pytest.approx(7.8)
    assert depths.drill_tip_mm == pytest.approx(8.281, abs=1e-3)
    assert depths.left_mm == pytest.approx(1.719, abs=1e-3)
    assert depths.engagement_mm == pytest.approx(4.6)
    assert depths.wall_mm == pytest.approx(1.2)
    assert depths.longest_screw_mm == pytest.approx(7.719, abs=1e-3)
    assert depths.stock_length == "6 mm"
    assert not depths.bottoms


def test_a_bottoming_screw_is_found() -> None:
    """In 7 mm of post the tap ends 4.119 mm down; the same screw reaches 5.0."""
    depths = find_depths(M2, 1.6, Stack(6.0, 1.0, 7.0), Method.TAPPED, "plug")
    assert depths.bottoms
    assert depths.engagement_mm == pytest.approx(7.0 - 2.0 - 0.4 - 0.481 - 0.4, abs=1e-3)
    assert depths.left_mm < 0.0
    formed = find_depths(M2, 1.8, Stack(6.0, 1.0, 7.0), Method.FORMED)
    assert not formed.bottoms


def test_taps_in_order_of_their_lead() -> None:
    leads = [tap_lead_mm(M2, kind) for kind in tap_kinds()]
    assert leads == pytest.approx([4.0, 2.0, 0.8])


@given(st.sampled_from(threads()), st.sampled_from(Method), st.floats(4.0, 30.0))
def test_the_longest_screw_just_leaves_room(thread: Thread, method: Method, post: float) -> None:
    stack = Stack(post / 2.0, 1.0, post)
    longest = find_depths(thread, thread.minor_mm, stack, method).longest_screw_mm
    again = find_depths(thread, thread.minor_mm, Stack(longest, 1.0, post), method)
    assert again.left_mm == pytest.approx(0.0, abs=1e-9)
    assert again.tap_lead_mm == 0.0 or method is Method.TAPPED


@pytest.mark.parametrize(
    ("stack", "where"),
    [
        (Stack(12.0, 1.0, 6.0), ["screw_length_mm"]),
        (Stack(0.5, 1.0, 6.0), ["screw_length_mm"]),
        (Stack(5.0, 0.0, 6.0), ["base_thickness_mm"]),
        (Stack(5.0, 1.0, 6.0, gap_mm=-0.1), ["gap_mm"]),
        (Stack(5.0, 1.0, 6.0, post_diameter_mm=1.5), ["post_diameter_mm"]),
        (Stack(float("nan"), 1.0, 6.0), ["screw_length_mm"]),
        (Stack(5.0, 1.0, 6.0, 4.0), []),
    ],
)
def test_stacks_that_do_not_go_together(stack: Stack, where: list[str]) -> None:
    assert [problem.where for problem in check_stack(M2, 1.6, stack)] == where


def test_a_screw_longer_than_the_post_is_told_with_a_stock_length() -> None:
    (problem,) = check_stack(M2, 1.6, Stack(12.0, 1.0, 6.0))
    assert problem.sentence() == (
        "screw_length_mm is 12 mm; allowed is at most base and post together (7 mm):"
        " take one of 6 mm."
    )


def test_a_base_bows_no_further_than_the_gap() -> None:
    base = Base(40.0, 15.0, 1.0)
    soft = find_bow(base, ZINC, 0.2, 5.0)
    hard = find_bow(base, ZINC, 0.2, 5000.0)
    assert soft.bow_mm < 0.2
    assert hard.bow_mm == pytest.approx(0.2)
    assert find_bow(base, ZINC, 0.0, 5000.0).bow_mm == 0.0


@given(st.floats(0.1, 0.9), st.floats(0.05, 3.0))
def test_stress_and_bow_go_together(share: float, gap: float) -> None:
    """A strip bent by a force at a has σ = 3 E' t w/(2 a b): bow and stress from one moment."""
    base = Base(40.0, 15.0, 1.2, share * 40.0)
    bow = find_bow(base, ZINC, gap, 1e6)
    plate = ZINC.modulus_mpa / (1.0 - ZINC.poisson**2)
    arms = share * 40.0 * (1.0 - share) * 40.0
    assert bow.stress_mpa == pytest.approx(1.5 * plate * 1.2 * gap / arms, rel=1e-9)
    assert bow.stays_bent == (bow.stress_mpa > ZINC.yield_mpa)


def test_a_base_without_thickness_is_refused() -> None:
    assert [one.where for one in check_base(Base(40.0, 15.0, 0.0))] == ["base_thickness_mm"]
    assert [one.where for one in check_base(Base(40.0, 15.0, 1.0, 40.0))] == ["screw_at_mm"]


def test_the_head_of_a_rivet_goes_with_two_drills() -> None:
    """A 4 mm head: nothing wider than it, pilot 1.6 mm at most, below the #50 that follows."""
    drills = head_removal(4.0, 1.0, 1.778)
    assert drills.drill.diameter_mm == pytest.approx(4.0)
    assert 1.5 <= drills.pilot.diameter_mm <= 1.6
    small = head_removal(4.0, 1.0, 1.25)
    assert small.pilot.diameter_mm <= 1.25
    with pytest.raises(InvalidInput, match="rivet_head_diameter_mm is 0 mm"):
        head_removal(0.0, 1.0)
