from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.fastening.designation import parse_drill, parse_thread
from hillbench.fastening.drill import (
    Method,
    drill_for_formed_percent,
    drill_for_percent,
    formed_percent,
    thread_percent,
)
from hillbench.fastening.limits import usual_fit
from hillbench.fastening.material import materials
from hillbench.fastening.strength import hold
from hillbench.fastening.thread import Thread, threads
from hillbench.fastening.torque import (
    Friction,
    frictions,
    safe_torque,
    torque_per_force_mm,
    yield_force_n,
)

ZINC, STAINLESS = materials()["zinc"], materials()["stainless"]
any_thread = st.sampled_from(threads())


def post_force(name: str, drill: str, method: Method = Method.TAPPED) -> float:
    thread = parse_thread(name)
    return hold(thread, parse_drill(drill).diameter_mm, 4.0, ZINC, STAINLESS, method).post_n


@given(any_thread, st.floats(10.0, 100.0))
def test_the_drill_for_a_percent_leaves_that_percent(thread: Thread, percent: float) -> None:
    assert thread_percent(thread, drill_for_percent(thread, percent)) == pytest.approx(percent)
    formed = formed_percent(thread, drill_for_formed_percent(thread, percent))
    assert formed == pytest.approx(percent)


def test_a_5_64_hole_holds_much_less_than_a_50_hole() -> None:
    """By the overlap the standard's least favourable parts have left: 0.0813 in on 0.0781 in."""
    ratio = post_force("2-56", "5/64") / post_force("2-56", "#50")
    assert ratio == pytest.approx((0.0813 - 0.078125) / (0.0813 - 0.0737), rel=1e-6)


def test_forming_in_a_5_64_hole_holds_as_a_full_tapped_thread() -> None:
    formed = post_force("2-56", "5/64", Method.FORMED)
    assert formed == pytest.approx(post_force("2-56", "#50"), rel=1e-9)


@given(any_thread, st.floats(0.05, 0.95), st.floats(0.5, 20.0))
def test_a_larger_hole_never_holds_more_and_length_counts_in_proportion(
    thread: Thread, share: float, engagement_mm: float
) -> None:
    fit = usual_fit(thread)
    least, most = thread.minor_mm, fit.external.major_mm.least_mm
    drill = least + share * (most - least)
    smaller = hold(thread, drill, engagement_mm, ZINC, STAINLESS)
    larger = hold(thread, (drill + most) / 2.0, engagement_mm, ZINC, STAINLESS)
    longer = hold(thread, drill, 2.0 * engagement_mm, ZINC, STAINLESS)
    assert 0.0 < larger.post_n <= smaller.post_n * (1 + 1e-12)
    assert larger.screw_n <= smaller.screw_n * (1 + 1e-12)
    assert longer.post_n == pytest.approx(2.0 * smaller.post_n)


@given(any_thread, st.floats(1.0, 4.0), st.floats(0.02, 0.4), st.floats(0.0, 0.3))
def test_the_safe_torque_strips_and_yields_nothing_whatever_the_friction(
    thread: Thread, diameters: float, least: float, spread: float
) -> None:
    """At any friction in the range, half the least force is the most that is reached."""
    held = hold(thread, thread.minor_mm, 0.7 * thread.major_mm, ZINC, STAINLESS)
    friction = Friction("range", least, least + spread, "a guess")
    bearing = diameters * thread.major_mm
    torque = safe_torque(thread, held, STAINLESS.yield_mpa, bearing, friction, 2.0)
    for share in (0.0, 0.5, 1.0):
        mu = least + share * spread
        clamp = torque.torque_n_mm / torque_per_force_mm(thread, mu, bearing)
        assert torque.clamp_least_n - 1e-9 <= clamp <= torque.clamp_most_n + 1e-9
        assert 2.0 * clamp <= min(held.post_n, held.screw_n) * (1 + 1e-9)
        assert 2.0 * clamp <= yield_force_n(thread, mu, STAINLESS.yield_mpa) * (1 + 1e-9)


def test_a_short_engagement_in_plastic_is_limited_by_the_post() -> None:
    thread = parse_thread("2-56")
    held = hold(thread, 1.8, 2.0, materials()["abs"], STAINLESS)
    torque = safe_torque(thread, held, STAINLESS.yield_mpa, 3.4, frictions()["dry"])
    assert torque.limited_by == "post thread"
    assert held.weakest()[0] == "post thread"


def test_a_thin_wall_gives_way_before_the_thread() -> None:
    thread = parse_thread("2-56")
    held = hold(thread, 1.778, 4.0, ZINC, STAINLESS, post_diameter_mm=2.3)
    assert held.weakest()[0] == "post wall"
