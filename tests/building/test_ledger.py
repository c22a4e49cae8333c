"""The ledger of a build's mass, and what it makes of a scale that disagrees."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillbench.building.cause import Part, Suspects, likely_causes
from hillbench.building.ledger import Entry, Line, keep_ledger
from hillbench.building.step import MassChange
from hillbench.uncertainty import Estimate

SCALE = 0.003
BARE = Entry("bare", "Weigh it bare", (), True, Estimate(37.20, SCALE))
HOLES = Entry("holes", "Drill", (MassChange("hole for 2-56", -0.12, 0.006, 2),), True)
TRIM = Entry("trim", "Trim", (MassChange("trimmed from the interior", -1.5, 0.15),), True)
PIECE = MassChange("quarter ounce", 7.087, 0.03, 3)
LOOSE = (Part("a wheel", 0.7), Part("a screw", 0.22))


def weighed(key: str, mass_g: float) -> Entry:
    return Entry(key, "Weigh", (), True, Estimate(mass_g, SCALE))


def last(*entries: Entry) -> Line:
    return keep_ledger([BARE, *entries], loose=LOOSE)[-1]


def test_the_ledger_adds_up_with_its_uncertainty() -> None:
    fit = Entry("fit", "Fit", (PIECE,), done=False)
    lines = keep_ledger([BARE, HOLES, TRIM, fit])
    assert lines[0].expected is None
    assert [line.after.value for line in lines if line.after] == pytest.approx(
        [37.2, 36.96, 35.46, 56.721]
    )
    spread = lines[-1].expected
    assert spread is not None
    assert spread.standard_uncertainty == pytest.approx(
        math.sqrt(SCALE**2 + 0.012**2 + 0.15**2 + 0.09**2)
    )


def test_after_a_weighing_it_goes_on_from_the_scale() -> None:
    again = weighed("open", 35.60)
    fit = Entry("fit", "Fit", (PIECE,), done=True)
    lines = keep_ledger([BARE, HOLES, TRIM, again, fit])
    assert lines[3].difference is not None
    assert lines[3].difference.value == pytest.approx(0.14)
    assert not lines[3].disagrees, "within twice the uncertainty of the trim"
    assert lines[4].expected is not None
    assert lines[4].expected.value == pytest.approx(35.60 + 21.261)


@pytest.mark.parametrize(
    ("mass_g", "says"),
    [
        (58.42 - 7.087, "1 of 3 × quarter ounce is missing"),
        (58.42 - 14.174, "2 of 3 × quarter ounce are missing"),
        (58.42 + 7.087, "One more quarter ounce is in the car"),
        (58.42 - 0.70, "a wheel is not on the scale"),
        (58.42 / 28.349523125, "The scale shows ounces, not grams"),
    ],
)
def test_one_thing_that_went_wrong_is_found(mass_g: float, says: str) -> None:
    fit = Entry("fit", "Fit", (PIECE,), done=True)
    line = last(fit, weighed("weigh", mass_g))
    assert line.disagrees
    assert line.causes[0].text == says
    assert abs(line.causes[0].left_g) < 0.2


def test_what_nothing_explains_has_no_cause() -> None:
    line = last(Entry("fit", "Fit", (PIECE,), done=True), weighed("weigh", 58.46 + 3.3))
    assert line.disagrees
    assert line.causes == ()


def test_a_trim_that_took_less_is_told_with_what_it_took() -> None:
    trim = Entry("trim", "Trim", (MassChange("trimmed from the interior", -1.5, 0.05),), True)
    line = last(trim, weighed("open", 37.20 - 0.9))
    assert line.causes[0].text == "Less was taken off: trimmed from the interior 0.90 g, not 1.50 g"


def test_a_step_done_before_its_turn_is_found() -> None:
    ahead = Entry("fit", "Fit", (MassChange("quarter ounce", 7.087, 0.03),), done=False)
    line = keep_ledger([BARE, weighed("open", 44.287), ahead])[1]
    assert line.causes[0].text == "quarter ounce is on the scale already"


def test_the_first_weighing_is_held_against_what_the_car_weighed_before() -> None:
    line = keep_ledger([BARE], start=Estimate(37.21, 0.02))[0]
    assert line.difference is not None
    assert not line.disagrees
    assert keep_ledger([BARE], start=Estimate(39.0, 0.02))[0].disagrees


def test_disagreement_is_rare_when_all_is_well() -> None:
    """Coverage 2 leaves about 4.6 % of honest weighings outside; more would cry wolf."""
    rng = np.random.default_rng(5)
    seen = 0
    for _ in range(2000):
        true_g = 35.0 + rng.normal(0.0, 0.05) * 3
        fit = Entry("fit", "Fit", (MassChange("piece", 0.0, 0.05, 3),), True)
        bare = Entry("bare", "Weigh", (), True, Estimate(35.0 + rng.normal(0, SCALE), SCALE))
        said = Entry("weigh", "Weigh", (), True, Estimate(true_g + rng.normal(0, SCALE), SCALE))
        seen += keep_ledger([bare, fit, said])[-1].disagrees
    assert 0.03 < seen / 2000 < 0.065


@given(
    gap=st.floats(-80, 80), spread=st.floats(0.001, 1.0),
    masses=st.lists(st.floats(-10, 10), max_size=5), weighed_g=st.floats(0.5, 200),
)  # fmt: skip
def test_causes_explain_within_their_uncertainty_and_share_one_chance(
    gap: float, spread: float, masses: list[float], weighed_g: float
) -> None:
    done = tuple(MassChange(f"thing {n}", mass, 0.02, n + 1) for n, mass in enumerate(masses))
    causes = likely_causes(Estimate(gap, spread), Suspects(done, (), LOOSE, weighed_g))
    assert len(causes) <= 3
    assert sum(cause.chance for cause in causes) <= 1.0 + 1e-9
    assert [cause.chance for cause in causes] == sorted((c.chance for c in causes), reverse=True)
    for cause in causes:
        assert cause.effect_g + cause.left_g == pytest.approx(gap)
