"""A mass against its limit on a scale that is not yours."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.building.guard_band import OtherScale, first_reading_over_g, judge_mass
from hillbench.errors import InvalidInput
from hillbench.uncertainty import Estimate


def test_a_scale_turns_over_half_a_step_above_the_limit() -> None:
    assert first_reading_over_g(57.0, 0.1) == pytest.approx(57.05)
    assert first_reading_over_g(57.0, 1.0) == pytest.approx(57.5)
    assert first_reading_over_g(57.05, 0.1) == pytest.approx(57.05), "57.1 is the first over"
    assert first_reading_over_g(57.0, 0.0) == 57.0
    assert first_reading_over_g(56.7, 0.01) == pytest.approx(56.705)


@pytest.mark.parametrize(("mass_g", "step_g"), [(56.98, 0.1), (57.02, 0.1), (57.03, 0.01)])
def test_chance_of_being_over_agrees_with_a_scale_that_is_played(
    mass_g: float, step_g: float
) -> None:
    mass, other = Estimate(mass_g, 0.02), OtherScale(step_g, 0.03)
    rng = np.random.default_rng(11)
    true_g = rng.normal(mass.value, mass.standard_uncertainty, 200_000)
    shown = np.round((true_g + rng.normal(0.0, 0.03, true_g.size)) / step_g) * step_g
    played = float(np.mean(shown > 57.0 + 1e-9))
    assert judge_mass(mass, 57.0, other).probability_over == pytest.approx(played, abs=0.004)


@given(
    st.floats(10, 100), st.floats(0.001, 0.5), st.sampled_from([0.0, 0.01, 0.1, 1.0]),
    st.floats(0.001, 0.5),
)  # fmt: skip
def test_the_guard_band_leaves_the_chance_that_is_allowed(
    limit_g: float, uncertainty_g: float, step_g: float, chance: float
) -> None:
    other = OtherScale(step_g)
    verdict = judge_mass(Estimate(limit_g, uncertainty_g), limit_g, other, chance)
    at_most = judge_mass(Estimate(verdict.most_g, uncertainty_g), limit_g, other, chance)
    assert at_most.probability_over == pytest.approx(chance, abs=1e-6)
    assert at_most.room_g == pytest.approx(0.0, abs=1e-9)
    assert limit_g - verdict.most_g == pytest.approx(verdict.guard_g)


def test_without_any_uncertainty_only_the_step_counts() -> None:
    other = OtherScale(0.1)
    assert judge_mass(Estimate(57.04, 0.0), 57.0, other).probability_over == 0.0
    assert judge_mass(Estimate(57.051, 0.0), 57.0, other).probability_over == 1.0


def test_nonsense_is_refused() -> None:
    with pytest.raises(InvalidInput) as refused:
        judge_mass(Estimate(57, 0.1), 0.0, OtherScale(-0.1, 20.0), 0.9)
    assert len(refused.value.problems) == 4
