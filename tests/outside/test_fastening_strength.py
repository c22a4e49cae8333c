"""Strength, torque and bow against the standards, textbooks and an independent solver."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_bvp

from hillbench.fastening.bow import Base, find_bow, stiffness_n_mm
from hillbench.fastening.depth import point_length_mm
from hillbench.fastening.designation import parse_thread
from hillbench.fastening.limits import usual_fit
from hillbench.fastening.material import Material, materials
from hillbench.fastening.strength import (
    breaking_torque_n_mm,
    equal_strength_engagement_mm,
    external_shear_area_mm2,
    hold,
    internal_shear_area_mm2,
    wall_force_n,
)
from hillbench.fastening.thread import System, Thread, unified_thread
from hillbench.fastening.torque import (
    thread_torque_per_force_mm,
    torque_per_force_mm,
    yield_force_n,
)
from tests.outside.registry import Outside

AREA = "Fastening: strength"
INCH = 25.4
STEEL_88 = Material("8.8", "class 8.8", "screw", 800.0, 640.0, 480.0, 205e3, 0.29, "ISO 898-1")


def test_shear_areas_of_2_56(outside: Outside) -> None:
    """Published limits in, the formula of the standard evaluated elsewhere as expected value."""
    pitch = INCH / 56
    screw = external_shear_area_mm2(pitch, INCH, 0.0737 * INCH, 0.0717 * INCH)
    post = internal_shear_area_mm2(pitch, INCH, 0.0813 * INCH, 0.0772 * INCH)
    for name, expected, got in (("screw", 0.1008, screw), ("post", 0.16156, post)):
        outside.check(
            f"2-56 shear area of the {name}, an inch of engagement",
            source="ASME B1.1-2003, app. B, with published 2A and 2B limits",
            how="run",
            expected=expected,
            got=got / INCH**2,
            within=5e-5,
            unit="in²",
        )


def test_shear_areas_of_a_quarter_inch(outside: Outside) -> None:
    pitch = INCH / 20
    screw = external_shear_area_mm2(pitch, INCH, 0.2070 * INCH, 0.2127 * INCH)
    post = internal_shear_area_mm2(pitch, INCH, 0.2408 * INCH, 0.2224 * INCH)
    for name, expected, got in (("screw", 0.368, screw), ("post", 0.539, post)):
        outside.check(
            f"1/4-20 shear area of the {name}, an inch of engagement",
            source="thread-stripping table of IFI and FED-STD-H28 (from memory)",
            how="calculated",
            expected=expected,
            got=got / INCH**2,
            within=5e-4,
            unit="in²",
        )


def test_our_own_limits_give_the_same_hold(outside: Outside) -> None:
    """The whole way from the designation: 214 MPa of zinc on the area of the row above."""
    zinc, stainless = materials()["zinc"], materials()["stainless"]
    held = hold(parse_thread("2-56"), 0.0700 * INCH, 4.0, zinc, stainless)
    outside.check(
        "2-56 in a #50 hole, 4 mm of Zamak 3: force that strips the post",
        source="ASME B1.1-2003, app. B, and 214 MPa (ASTM B86)",
        how="run",
        expected=0.16156 * INCH * 4.0 * 214.0,
        got=held.post_n,
        rel=1e-3,
        unit="N",
    )


def test_engagement_of_equal_strength(outside: Outside) -> None:
    outside.check(
        "2-56 engagement of equal strength",
        source="Machinery's Handbook, 24th ed.; FED-STD-H28/2B, app. B",
        how="run",
        expected=0.0734,
        got=equal_strength_engagement_mm(0.00370 * INCH**2, INCH / 56, 0.0737 * INCH, 0.0717 * INCH)
        / INCH,
        within=1e-4,
        unit="in",
    )


@pytest.mark.parametrize(("ratio", "rel"), [(1.05, 0.06), (1.5, 1e-9), (2.0, 1e-9), (50.0, 1e-3)])
def test_wall_of_a_post(outside: Outside, ratio: float, rel: float) -> None:
    """Thin: p = σ t/r. In between: Lamé, solved here for stress and strain on both rims. Thick:
    the bore of an endless plate carries p = σ.
    """
    thread = parse_thread("M2")
    inner = thread.major_mm / 2.0
    outer = inner * ratio
    if ratio < 1.2:
        pressure, source = 100.0 * (outer - inner) / inner, "thin ring, σ = p r/t"
    elif ratio > 10.0:
        pressure, source = 100.0, "hole in an endless plate, σ = p"
    else:
        # σr = A - B/r², σθ = A + B/r²: σr(inner) = -p, σr(outer) = 0, σθ(inner) = 100.
        system = np.array(
            [[1, -1 / inner**2, 1], [1, -1 / outer**2, 0], [1, 1 / inner**2, 0]], dtype=float
        )
        pressure = float(np.linalg.solve(system, np.array([0.0, 0.0, 100.0]))[2])
        source = "Lamé's equations, solved for both rims"
    outside.check(
        f"post {ratio:g} times as wide as its screw: force that yields the bore",
        source=source,
        how="closed form",
        expected=pressure * math.pi * thread.pitch_diameter_mm * 3.0 / math.tan(math.pi / 6),
        got=wall_force_n(thread, 3.0, 2.0 * outer, 100.0),
        rel=rel,
        unit="N",
    )


@pytest.mark.parametrize(("name", "torque"), [("M1.6", 0.16), ("M2", 0.37), ("M3", 1.5)])
def test_breaking_torque(outside: Outside, name: str, torque: float) -> None:
    outside.check(
        f"{name} class 8.8, least breaking torque",
        source="ISO 898-7:1992, table 2",
        how="memory",
        expected=torque,
        got=breaking_torque_n_mm(parse_thread(name), STEEL_88, 0.84) / 1000.0,
        rel=0.05,
        unit="N m",
    )


def test_torque_of_a_thread(outside: Outside) -> None:
    thread = parse_thread("M3")
    outside.check(
        "M3 torque for each newton, friction 0.14, head 4.5 mm",
        source="VDI 2230 (2015), 0.159 P + 0.577 d2 μ + Dkm μ/2",
        how="calculated",
        expected=0.159 * 0.5 + 0.577 * 2.675 * 0.14 + 4.5 / 2 * 0.14,
        got=torque_per_force_mm(thread, 0.14, 4.5),
        rel=1e-3,
        unit="mm",
    )
    helix, half, mu = math.radians(thread.lead_angle_deg), math.radians(30.0), 0.14
    leaning = math.atan(mu / math.cos(half))
    outside.check(
        "M3 torque in the thread for each newton, as a wedge wound on a cylinder",
        source="wedge on a helix, F d2/2 tan(λ + ρ')",
        how="closed form",
        expected=thread.pitch_diameter_mm / 2.0 * math.tan(helix + leaning),
        got=thread_torque_per_force_mm(thread, mu),
        rel=0.01,
        unit="mm",
    )


def test_torque_factor_of_textbooks(outside: Outside) -> None:
    """K = T/(F d) is about 0.20 for friction 0.15 and a head of 1.5 d, whatever the size."""
    thread = Thread("M10x1.5", System.METRIC, "metric coarse", 10.0, 1.5)
    outside.check(
        "M10 torque factor for friction 0.15",
        source="J. E. Shigley, Mechanical Engineering Design, ch. 8: K near 0.20",
        how="memory",
        expected=0.20,
        got=torque_per_force_mm(thread, 0.15, 12.5) / 10.0,
        within=0.01,
    )


@pytest.mark.parametrize(("friction", "expected"), [(0.08, 19.5), (0.12, 18.0), (0.14, 17.2)])
def test_assembly_preload(outside: Outside, friction: float, expected: float) -> None:
    """VDI 2230 lets a bolt reach 90 % of its yield strength, 640 MPa for class 8.8; its shaft
    is counted as yielding all through, which twists it a little less than we reckon.
    """
    thread = Thread("M8x1.25", System.METRIC, "metric coarse", 8.0, 1.25)
    outside.check(
        f"M8 class 8.8 preload at 90 % of yield, friction {friction:g}",
        source="VDI 2230 (2015), table A1",
        how="memory",
        expected=expected,
        got=yield_force_n(thread, friction, 0.9 * 640.0) / 1000.0,
        rel=0.06,
        unit="kN",
    )


@pytest.mark.parametrize("at", [8.0, 20.0, 31.0])
def test_bow_against_a_solver(outside: Outside, at: float) -> None:
    """The beam equation E I w'' = -M integrated from both ends, not by any formula."""
    zinc = materials()["zinc"]
    base = Base(40.0, 15.0, 1.2, at)
    rigidity = zinc.modulus_mpa / (1 - zinc.poisson**2) * 15.0 * 1.2**3 / 12.0
    reaction = 100.0 * (40.0 - at) / 40.0

    def slopes(x: np.ndarray, w: np.ndarray) -> np.ndarray:
        moment = reaction * x - 100.0 * np.maximum(x - at, 0.0)
        return np.vstack([w[1], -moment / rigidity])

    mesh = np.unique(np.append(np.linspace(0.0, 40.0, 401), at))
    solved = solve_bvp(
        slopes,
        lambda left, right: np.array([left[0], right[0]]),
        mesh,
        np.zeros((2, mesh.size)),
        tol=1e-8,
    )
    outside.check(
        f"bow of a base 40 mm long under 100 N, {at:g} mm from its end",
        source="SciPy solve_bvp on the beam equation",
        how="run",
        expected=float(solved.sol(at)[0]),
        got=find_bow(base, zinc, 10.0, 100.0).bow_mm,
        rel=1e-5,
        unit="mm",
    )


def test_bow_in_the_middle(outside: Outside) -> None:
    zinc = materials()["zinc"]
    plate = zinc.modulus_mpa / (1 - zinc.poisson**2)
    outside.check(
        "stiffness of a base under a force in the middle",
        source="Roark's Formulas, table of beams: 48 E I/L³, E/(1 - ν²) for a plate",
        how="closed form",
        expected=48.0 * plate * 15.0 * 1.2**3 / 12.0 / 40.0**3,
        got=stiffness_n_mm(Base(40.0, 15.0, 1.2), zinc),
        rel=1e-12,
        unit="N/mm",
    )


def test_point_of_a_drill(outside: Outside) -> None:
    outside.check(
        "length of a 118° point over its diameter",
        source="Machinery's Handbook, 0.3 d for 118° (from memory)",
        how="calculated",
        expected=0.300,
        got=point_length_mm(1.0),
        within=1e-3,
    )


@pytest.mark.parametrize(("size", "height_mm"), [("M2", 1.6), ("M2.5", 2.0)])
def test_standard_nuts_are_as_strong_as_their_bolts(size: str, height_mm: float) -> None:
    """ISO 4032 nut heights (bd-warehouse 0.4.0, hex_nut_parameters.csv: M2 1.6, M2.5 2 mm).

    The standard makes nuts so high that usually the bolt breaks first; at basic sizes the
    height suffices, with every size at its least favourable limit it is a little short.
    """
    thread = parse_thread(size)
    worst = usual_fit(thread)
    needed = [
        equal_strength_engagement_mm(thread.stress_area_mm2, thread.pitch_mm, minor, pitch)
        for minor, pitch in (
            (thread.minor_mm, thread.pitch_diameter_mm),
            (worst.internal.minor_mm.most_mm, worst.external.pitch_diameter_mm.least_mm),
        )
    ]
    assert 0.5 * height_mm < needed[0] <= height_mm < needed[1] < 1.1 * height_mm


def test_quarter_inch_strips_after_it_breaks() -> None:
    """A nut one diameter high is stronger than its bolt: the rule nuts are made by."""
    thread = unified_thread("1/4-20", "UNC", 0.25, 20)
    steel = materials()["steel"]
    held = hold(thread, 0.201 * INCH, thread.major_mm, steel, steel)
    assert held.screw_n > thread.stress_area_mm2 * steel.tensile_mpa
