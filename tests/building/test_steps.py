"""Steps made from a plan: in order, with their sizes, cautions and masses."""

from __future__ import annotations

import dataclasses
import math

import pytest

from hillbench.building.caution import ALWAYS, TEXTS, Caution
from hillbench.building.drilling import drilled_mass, head_mass, hole_volume_mm3
from hillbench.building.plan import (
    BuildPlan,
    Closing,
    Decals,
    Fixing,
    Graphite,
    Opening,
    Piece,
    Wheels,
)
from hillbench.building.step import Draw, Step, StepKind
from hillbench.building.steps_of_plan import make_steps
from hillbench.errors import InvalidInput

FULL = BuildPlan(
    opening=Opening(2, 4.0, 1.2, "#52", 1.613, "5/32 in"),
    closing=Closing(2, "2-56", "2-56 × 1/4 in pan", 0.22, "#50", 1.778, 7.0, 6.0, False, 90.0,
                    Draw(4, 2)),
    trim_g=1.0, trim_uncertainty_g=0.3, trim_text="the seats",
    pieces=(Piece("quarter ounce", 2, 7.087, 0.03, metal="lead", draw=Draw(1, 2)),
            Piece("tungsten cube", 1, 4.1, 0.01, metal="tungsten")),
    fixing=Fixing.CYANOACRYLATE, putty_g=0.7,
    wheels=Wheels("turned wheels", -0.2, 0.02, Draw(7, 4)),
    decals=Decals(4, 0.02, sealed=True), graphite=Graphite(2), limit_g=57.0,
)  # fmt: skip


def by_key(plan: BuildPlan = FULL) -> dict[str, Step]:
    return {step.key: step for step in make_steps(plan)}


def test_an_empty_plan_is_still_a_build() -> None:
    assert list(by_key(BuildPlan())) == [
        "choose", "weigh bare", "rub check", "roll test", "weigh", "prove",
    ]  # fmt: skip


def test_each_step_stands_behind_what_it_waits_for() -> None:
    before: set[str] = set()
    for step in make_steps(FULL):
        assert {*step.waits_for} <= before, step.key
        before.add(step.key)
    assert len(before) == len(make_steps(FULL)), "keys are unique"


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("weigh bare", "pilot"), ("pilot", "head"), ("thread hole", "tap"), ("tap", "deburr"),
        ("deburr", "fit 1"), ("trim", "fit 1"), ("fit 1", "fit 2"), ("decals", "close"),
        ("rub check", "close"), ("close", "graphite 1"), ("graphite 2", "weigh"),
        ("weigh", "prove"),
    ],
)  # fmt: skip
def test_the_order_makes_sense(first: str, second: str) -> None:
    order = list(by_key())
    assert order.index(first) < order.index(second)


def test_the_mass_of_the_whole_is_that_of_its_parts() -> None:
    total_g = sum(step.change_g for step in make_steps(FULL))
    head, hole = head_mass(4.0, 1.2, "zinc"), drilled_mass(1.778, 7.0, "zinc")
    parts_g = [-2 * head.value, -2 * hole.value, -1.0, 2 * 7.087, 4.1, 0.7, -0.2]
    assert total_g == pytest.approx(sum(parts_g)), "putty leaves room for screws, film, graphite"


def test_putty_makes_room_for_what_comes_after_it() -> None:
    steps = by_key(dataclasses.replace(FULL, putty_stop_g=56.90))
    after_g = 2 * 0.22 + 0.02 + 0.05 + 2 * 0.01
    assert steps["putty"].change_g == pytest.approx(0.7 - after_g)
    assert f"stop at {56.90 - after_g:.2f} g" in steps["putty"].text
    counted = by_key(dataclasses.replace(FULL, screws_counted=True))
    assert counted["putty"].change_g == pytest.approx(0.7 - after_g + 2 * 0.22)
    assert "putty" not in by_key(dataclasses.replace(FULL, putty_g=0.3))


def test_sizes_depths_and_draws_stand_where_they_are_needed() -> None:
    steps = by_key()
    assert (steps["pilot"].size, steps["head"].size) == ("#52", "5/32 in")
    assert steps["head"].depth_mm == 1.2
    assert (steps["thread hole"].size, steps["thread hole"].depth_mm) == ("#50", 7.0)
    assert steps["tap"].depth_mm == 6.0
    assert steps["close"].draws == (Draw(4, 2),)
    assert "90 N mm" in steps["close"].text
    assert [steps[key].wait_minutes for key in ("fit 1", "fit 2")] == [0.0, 720.0]
    assert "57 g" in steps["weigh"].text


@pytest.mark.parametrize(
    ("key", "cautions"),
    [
        ("pilot", {Caution.EYES_DRILL, Caution.VICE, Caution.METAL_DUST}),
        ("thread hole", {Caution.EYES_DRILL, Caution.VICE, Caution.METAL_DUST}),
        ("trim", {Caution.EYES_SNIPS, Caution.BLADE, Caution.SMALL_PARTS}),
        ("fit 1", {Caution.LEAD, Caution.CYANOACRYLATE, Caution.SMALL_PARTS}),
        ("fit 2", {Caution.CYANOACRYLATE, Caution.SMALL_PARTS}),
        ("decals", {Caution.BLADE, Caution.SOLVENT}),
        ("seal", {Caution.SOLVENT}),
        ("close", {Caution.VICE, Caution.SMALL_PARTS}),
        ("graphite 1", {Caution.GRAPHITE}),
    ],
)
def test_cautions_stand_at_the_step_where_they_matter(key: str, cautions: set[Caution]) -> None:
    assert {*by_key()[key].cautions} == cautions


def test_lead_is_known_by_its_metal_or_its_name() -> None:
    assert Piece("quarter ounce", 1, 7.0, 0.1, metal="lead").is_lead
    assert Piece("Lead strip", 1, 7.0, 0.1).is_lead
    assert not Piece("Lead-free cube", 1, 7.0, 0.1, metal="tungsten").is_lead


def test_every_caution_has_its_reason_and_names_what_the_trade_warns_of() -> None:
    assert {*TEXTS} == {*Caution}
    for caution in Caution:
        assert len(TEXTS[caution].rule) > 30
        assert len(TEXTS[caution].reason) > 30
    lead = TEXTS[Caution.LEAD].rule + TEXTS[Caution.LEAD].reason
    for word in ("hands", "food", "children", "sand", "tungsten", "bismuth"):
        assert word in lead
    assert "maker" in ALWAYS
    assert "local rules" in ALWAYS


def test_every_drilling_step_has_eye_protection_and_vice() -> None:
    drilling = [step for step in make_steps(FULL) if step.kind is StepKind.DRILL]
    assert len(drilling) == 3
    assert all({Caution.EYES_DRILL, Caution.VICE} <= {*step.cautions} for step in drilling)


def test_a_formed_thread_is_not_tapped() -> None:
    closing = FULL.closing
    assert closing is not None
    formed = dataclasses.replace(FULL, closing=dataclasses.replace(closing, formed=True))
    assert by_key(formed)["tap"].title == "Form the threads"


def test_a_hole_is_a_cylinder_with_a_cone() -> None:
    """Without the cone's height, the volume of the point is that of pi/24 d³ cot(59°)."""
    cone = math.pi / 24.0 * 2.0**3 / math.tan(math.radians(59.0))
    assert hole_volume_mm3(2.0, 5.0) == pytest.approx(math.pi * 5.0 + cone)


def test_a_hole_that_is_there_already_weighs_nothing() -> None:
    whole = drilled_mass(2.0, 5.0, "zinc").value
    rest = drilled_mass(2.0, 5.0, "zinc", there_mm=1.0).value
    assert rest == pytest.approx(whole - drilled_mass(1.0, 5.0, "zinc").value)


def test_a_hole_of_no_size_is_refused() -> None:
    with pytest.raises(InvalidInput) as refused:
        drilled_mass(0.0, -1.0, "cheese")
    assert len(refused.value.problems) == 3
