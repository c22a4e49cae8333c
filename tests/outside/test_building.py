"""Guard bands, drilled masses and ledgers against published examples and other packages."""

from __future__ import annotations

import graphlib
import math

import numpy as np
from scipy import integrate, stats

from hillbench.building.drilling import drilled_mass, hole_volume_mm3
from hillbench.building.guard_band import OtherScale, judge_mass, probability_within
from hillbench.building.ledger import Entry, keep_ledger
from hillbench.building.step import MassChange
from hillbench.uncertainty import Estimate
from tests.outside.registry import Outside

AREA = "Builds: masses, limits, order"
JCGM_106 = "JCGM 106:2012"


def test_zener_diode_of_jcgm_106(outside: Outside) -> None:
    """Breakdown voltage −5.47 V ± 0.05 V against an upper limit of −5.40 V: Φ(1.4) = 0.92."""
    outside.check(
        "probability that the breakdown voltage of a Zener diode conforms",
        source=f"{JCGM_106}, 7.4 example (single upper limit)",
        how="calculated",
        expected=0.92,
        got=probability_within(-5.47, 0.05, -5.40),
        within=0.005,
        unit="-",
    )


def test_guard_band_of_one_expanded_uncertainty(outside: Outside) -> None:
    """With a guard band of U = 2u an accepted item is over with at most 2.3 %."""
    at_most = judge_mass(Estimate(57.0 - 0.1, 0.05), 57.0, OtherScale(0.0))
    outside.check(
        "chance of being over at a guard band of U = 2u",
        source=f"{JCGM_106}, 8.3.2.2; ISO 14253-1 (ILAC-G8 table 1: below 2.5 %)",
        how="calculated",
        expected=0.0228,
        got=at_most.probability_over,
        within=5e-5,
        unit="-",
    )


def test_guard_band_for_five_percent(outside: Outside) -> None:
    verdict = judge_mass(Estimate(56.9, 0.05), 57.0, OtherScale(0.0), 0.05)
    outside.check(
        "guard band for 5 %, in standard uncertainties",
        source="normal table: z(0.95)",
        how="run",
        expected=float(stats.norm.ppf(0.95)),
        got=verdict.guard_g / 0.05,
        within=1e-9,
        unit="-",
    )


def test_chance_on_a_scale_with_steps(outside: Outside) -> None:
    """SciPy integrates over all masses that a scale of 0.1 g would show as more than 57.0 g."""
    u, v, mass_g = 0.02, 0.03, 57.01

    def shown_over(true_g: float) -> float:
        over = stats.norm.sf(57.05, loc=true_g, scale=v)
        return float(stats.norm.pdf(true_g, mass_g, u) * over)

    expected, _ = integrate.quad(shown_over, mass_g - 8 * u, mass_g + 8 * u)
    got = judge_mass(Estimate(mass_g, u), 57.0, OtherScale(0.1, v)).probability_over
    outside.check(
        "chance of being shown over 57.0 g by a scale of 0.1 g",
        source="SciPy, numerical integration",
        how="run",
        expected=expected,
        got=got,
        within=1e-8,
        unit="-",
    )


def test_volume_of_a_drilled_hole(outside: Outside) -> None:
    """SciPy integrates the cross-sections of a 2 mm hole 5 mm deep with a 118° point."""
    height = 1.0 / math.tan(math.radians(59.0))
    depths = np.linspace(0.0, 5.0 + height, 200_001)
    radii = np.where(depths < 5.0, 1.0, (5.0 + height - depths) / height)
    expected = float(integrate.trapezoid(math.pi * radii**2, depths))
    outside.check(
        "volume of a hole of 2 mm, 5 mm deep, with its point",
        source="SciPy, numerical integration",
        how="run",
        expected=expected,
        got=hole_volume_mm3(2.0, 5.0),
        within=1e-6,
        unit="mm³",
    )


def test_uncertainty_of_a_drilled_mass(outside: Outside) -> None:
    """Monte Carlo over the same limits (JCGM 101): the law of propagation holds here."""
    rng = np.random.default_rng(3)
    count = 200_000
    d = 1.78 + rng.uniform(-0.05, 0.05, count)
    h = 7.0 + rng.uniform(-0.3, 0.3, count)
    rho = 6.6 + rng.uniform(-0.1, 0.1, count)
    cone = d / 2.0 / math.tan(math.radians(59.0))
    mass_g = math.pi / 4.0 * d**2 * (h + cone / 3.0) / 1000.0 * rho
    outside.check(
        "standard uncertainty of the mass drilled out of a post",
        source="JCGM 101:2008, Monte Carlo in NumPy",
        how="run",
        expected=float(np.std(mass_g)),
        got=drilled_mass(1.78, 7.0, "zinc").standard_uncertainty,
        within=2e-4,
        unit="g",
    )


def test_density_of_zamak_3(outside: Outside) -> None:
    """A hole of one cubic centimetre: what it weighs is the density."""
    depth_mm = 10.0 / (math.pi / 4.0) - 10.0 / 6.0 / math.tan(math.radians(59.0))
    outside.check(
        "density of Zamak 3, 0.24 lb/in³",
        source="REFERENCES zamak3.rho: tables of die casters; NIST SP 811",
        how="read",
        expected=0.24 * 453.59237 / 16.387064,
        got=drilled_mass(10.0, depth_mm, "zinc").value,
        within=0.05,
        unit="g/cm³",
    )


def test_three_quarter_ounces(outside: Outside) -> None:
    """A car of about 37 g comes to about 56 g once the interior is trimmed."""
    quarter_g = 28.349523125 / 4.0
    entries = [
        Entry("bare", "Weigh it bare", (), True, Estimate(37.0, 0.01)),
        Entry("trim", "Trim", (MassChange("the interior", -2.0, 1.0),), True),
        Entry("fit", "Fit", (MassChange("quarter ounce", quarter_g, 0.05, 3),), False),
    ]
    after = keep_ledger(entries)[-1].expected
    assert after is not None
    outside.check(
        "37 g car with three quarter-ounce weights, interior trimmed",
        source="common practice, no source",
        how="memory",
        expected=56.0,
        got=after.value,
        within=0.5,
        unit="g",
    )


def test_quarter_ounce(outside: Outside) -> None:
    outside.check(
        "a quarter-ounce weight",
        source="common practice, no source (about 7 g); NIST SP 811 for the ounce",
        how="exact",
        expected=7.0,
        got=MassChange("quarter ounce", 28.349523125 / 4.0, 0.0).total_g,
        within=0.1,
        unit="g",
    )


def test_order_of_steps(outside: Outside) -> None:
    """The order of a whole build is one that graphlib agrees with."""
    from hillbench.building.steps_of_plan import make_steps
    from tests.building.test_steps import FULL

    steps = make_steps(FULL)
    sorter = graphlib.TopologicalSorter({step.key: step.waits_for for step in steps})
    sorter.prepare()
    free, broken = set[str](), 0
    for step in steps:
        free |= {*sorter.get_ready()}
        broken += step.key not in free
        sorter.done(step.key)
    outside.check(
        "steps of a whole build that stand before what they wait for",
        source="graphlib of the Python standard library",
        how="run",
        expected=0.0,
        got=float(broken),
        within=0.0,
        unit="-",
    )
