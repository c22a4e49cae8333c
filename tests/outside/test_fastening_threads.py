"""Threads against the printed tables of the standards."""

from __future__ import annotations

import math

import pytest

from hillbench.fastening.designation import parse_thread
from hillbench.fastening.limits import usual_fit
from hillbench.fastening.metric_limits import metric_external, metric_internal, metric_tolerances
from hillbench.fastening.span import Span
from hillbench.fastening.thread import Thread, unified_thread
from hillbench.fastening.unified_limits import (
    minor_tolerance_in,
    pitch_tolerance_in,
    unified_external,
    unified_internal,
)
from tests.outside.registry import Outside

AREA = "Fastening: threads"
INCH = 25.4
MH = "Machinery's Handbook, 31st ed. (2020), table 4a, p. 1978; ASME B1.1"
TABLE_2A = "ASME B1.1 limits as reproduced at efunda.com and machiningdoctor.com"
WORKED = "ASME B1.1-1989 worked example, as asserted in plib asme.py"
B113M = "ASME B1.13M-2005, as reproduced at amesweb.info"
ISO965 = "ISO 965-1, ASME B1.13M tolerance tables, as transcribed in Threads.py"

# Printed limits are rounded value by value, so the fourth decimal may differ by one.
LIMIT_IN = 1.01e-4

QUARTER = unified_thread("1/4-20", "UNC", 0.25, 20)


def limits_in(*spans: Span) -> list[float]:
    return [value / INCH for span in spans for value in (span.least_mm, span.most_mm)]


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("1-64", (0.073, 64, 0.0629, 0.0544, 0.0561, 0.00263)),
        ("2-56", (0.086, 56, 0.0744, 0.0648, 0.0667, 0.0037)),
        ("3-48", (0.099, 48, 0.0855, 0.0741, 0.0764, 0.00487)),
        ("4-40", (0.112, 40, 0.0958, 0.0822, 0.0849, 0.00604)),
        ("5-40", (0.125, 40, 0.1088, 0.0952, 0.0979, 0.00796)),
        ("6-32", (0.138, 32, 0.1177, 0.1008, 0.1042, 0.00909)),
        ("8-32", (0.164, 32, 0.1437, 0.1268, 0.1302, 0.0140)),
        ("10-24", (0.19, 24, 0.1629, 0.1404, 0.1449, 0.0175)),
    ],
)
def test_basic_dimensions_of_the_coarse_series(
    outside: Outside, name: str, expected: tuple[float, ...]
) -> None:
    """Handbook stress areas come from rounded inputs: 1e-5 in², one digit where it prints less."""
    thread = parse_thread(name)
    area_in = 5.1e-5 if name in ("8-32", "10-24") else 1e-5
    got = (
        ("major diameter", thread.major_mm / INCH, 1e-9, "in"),
        ("threads per inch", INCH / thread.pitch_mm, 1e-9, "1/in"),
        ("pitch diameter", thread.pitch_diameter_mm / INCH, 6e-5, "in"),
        ("minor diameter of a UNR screw", thread.root_mm / INCH, 1e-4, "in"),
        ("minor diameter of the hole", thread.minor_mm / INCH, 6e-5, "in"),
        ("tensile stress area", thread.stress_area_mm2 / INCH**2, area_in, "in²"),
    )
    for (what, value, within, unit), printed in zip(got, expected, strict=True):
        outside.check(
            f"{name} {what}",
            source=MH,
            how="read",
            expected=printed,
            got=value,
            within=within,
            unit=unit,
        )


def test_other_figures_of_the_handbook_for_2_56_and_2_64(outside: Outside) -> None:
    thread, fine = parse_thread("2-56"), parse_thread("2-64")
    fine_source = "boltport.com/threads/unf"
    for name, source, expected, got, within, unit in (
        ("2-56 pitch", MH, 0.017857142857142856, thread.pitch_mm / INCH, 1e-15, "in"),
        ("2-56 section at D - 2 hb", MH, 0.0031, thread.root_area_mm2 / INCH**2, 5e-5, "in²"),
        ("2-56 lead angle", MH, 4 + 22 / 60, thread.lead_angle_deg, 0.6 / 60, "°"),
        ("2-64 pitch diameter", fine_source, 0.0759, fine.pitch_diameter_mm / INCH, 5.1e-5, "in"),
        ("2-64 minor diameter of the hole", fine_source, 0.0691, fine.minor_mm / INCH, 5e-5, "in"),
        ("2-64 stress area", fine_source, 0.00394, fine.stress_area_mm2 / INCH**2, 1e-5, "in²"),
    ):
        outside.check(
            name, source=source, how="read", expected=expected, got=got, within=within, unit=unit
        )


@pytest.mark.parametrize(("number", "inches"), [(0, 0.06), (2, 0.086), (4, 0.112), (6, 0.138)])
def test_number_sizes(outside: Outside, number: int, inches: float) -> None:
    """GNU units, screwgauge(): d = 0.060 + 0.013 n in."""
    name = {0: "0-80", 2: "2-56", 4: "4-40", 6: "6-32"}[number]
    outside.check(
        f"size number {number}",
        source="GNU units 2.22, screwgauge()",
        how="run",
        expected=inches,
        got=parse_thread(name).major_mm / INCH,
        within=1e-12,
        unit="in",
    )


def test_size_number_10(outside: Outside) -> None:
    outside.check(
        "size number 10",
        source="GNU units 2.22, screwgauge()",
        how="run",
        expected=0.19,
        got=parse_thread("10-24").major_mm / INCH,
        within=1e-12,
        unit="in",
    )


def test_limits_of_2_56(outside: Outside) -> None:
    thread = parse_thread("2-56")
    screw, hole = unified_external(thread, 2), unified_internal(thread, 2)
    close, tight = unified_external(thread, 3), unified_internal(thread, 3)
    printed = {
        "2-56 2A allowance": (0.0006, screw.allowance_mm),
        "2-56 2A major diameter, most": (0.0854, screw.major_mm.most_mm),
        "2-56 2A major diameter, least": (0.0813, screw.major_mm.least_mm),
        "2-56 2A pitch diameter, most": (0.0738, screw.pitch_diameter_mm.most_mm),
        "2-56 2A pitch diameter, least": (0.0717, screw.pitch_diameter_mm.least_mm),
        "2-56 2A minor diameter of UNR, most": (0.0642, screw.root_most_mm),
        "2-56 2B minor diameter, least": (0.0667, hole.minor_mm.least_mm),
        "2-56 2B minor diameter, most": (0.0737, hole.minor_mm.most_mm),
        "2-56 2B pitch diameter, least": (0.0744, hole.pitch_diameter_mm.least_mm),
        "2-56 2B pitch diameter, most": (0.0772, hole.pitch_diameter_mm.most_mm),
        "2-56 2B major diameter, least": (0.0860, hole.major_least_mm),
        "2-56 3A pitch diameter, most": (0.0744, close.pitch_diameter_mm.most_mm),
        "2-56 3A pitch diameter, least": (0.0728, close.pitch_diameter_mm.least_mm),
        "2-56 3B pitch diameter, most": (0.0765, tight.pitch_diameter_mm.most_mm),
        "2-56 3B minor diameter, most": (0.0737, tight.minor_mm.most_mm),
    }
    for name, (expected, got_mm) in printed.items():
        outside.check(
            name,
            source=TABLE_2A,
            how="read",
            expected=expected,
            got=got_mm / INCH,
            within=LIMIT_IN,
            unit="in",
        )


@pytest.mark.parametrize(
    ("grade", "major", "pitch", "hole_minor", "hole_pitch"),
    [
        (1, (0.2367, 0.2489), (0.2108, 0.2164), (0.1959, 0.2074), (0.2175, 0.2248)),
        (2, (0.2408, 0.2489), (0.2127, 0.2164), (0.1959, 0.2074), (0.2175, 0.2223)),
        (3, (0.2419, 0.2500), (0.2147, 0.2175), (0.1959, 0.2067), (0.2175, 0.2211)),
    ],
)
def test_worked_limits_of_a_quarter_inch(
    outside: Outside,
    grade: int,
    major: tuple[float, float],
    pitch: tuple[float, float],
    hole_minor: tuple[float, float],
    hole_pitch: tuple[float, float],
) -> None:
    screw, hole = unified_external(QUARTER, grade), unified_internal(QUARTER, grade)
    got = limits_in(screw.major_mm, screw.pitch_diameter_mm, hole.minor_mm, hole.pitch_diameter_mm)
    names = [
        f"1/4-20 class {grade} {part}, {end}"
        for part in ("major", "pitch diameter", "minor of the hole", "pitch diameter of the hole")
        for end in ("least", "most")
    ]
    expected = (*major, *pitch, *hole_minor, *hole_pitch)
    for name, want, have in zip(names, expected, got, strict=True):
        outside.check(
            name, source=WORKED, how="run", expected=want, got=have, within=LIMIT_IN, unit="in"
        )


def test_tolerance_and_allowance_of_a_quarter_inch(outside: Outside) -> None:
    outside.check(
        "1/4-20 pitch diameter tolerance, class 2A",
        source=WORKED,
        how="run",
        expected=0.00373,
        got=pitch_tolerance_in(QUARTER),
        within=5e-6,
        unit="in",
    )
    outside.check(
        "1/4-20 allowance, class 1A",
        source=WORKED,
        how="run",
        expected=0.0011,
        got=unified_external(QUARTER, 1).allowance_mm / INCH,
        within=LIMIT_IN,
        unit="in",
    )


def test_the_handbooks_step_by_step_internal_thread(outside: Outside) -> None:
    """19/64 in of 36 threads per inch: the printed 2 hn, TD1 and hb are those of 36.

    Its minor diameter is printed to three decimals.
    """
    thread = unified_thread("19/64-36", "UNS", 0.2969, 36)
    hole = unified_internal(thread, 2)
    source = "Machinery's Handbook, 31st ed. (2020), table 6, internal inch screw thread"
    for name, expected, got, within in (
        ("2 hn", 0.03007, 1.25 * thread.sharp_height_mm / INCH, 5e-6),
        ("hb", 0.018042, 0.75 * thread.sharp_height_mm / INCH, 1e-6),
        ("tolerance of the minor diameter", 0.0066, minor_tolerance_in(thread, 2), 5e-5),
        ("least minor diameter", 0.267, hole.minor_mm.least_mm / INCH, 5e-4),
        ("largest minor diameter", 0.273, hole.minor_mm.most_mm / INCH, 5e-4),
        ("least pitch diameter", 0.2789, hole.pitch_diameter_mm.least_mm / INCH, LIMIT_IN),
    ):
        outside.check(
            f"19/64-36 UNS-2B {name}",
            source=source,
            how="read",
            expected=expected,
            got=got,
            within=within,
            unit="in",
        )


def test_metric_basic_dimensions(outside: Outside) -> None:
    thread = parse_thread("M2")
    for name, expected, got, within, how in (
        ("M2 pitch diameter", 1.740, thread.pitch_diameter_mm, 1e-3, "read"),
        ("M2 minor diameter of the hole", 1.567, thread.minor_mm, 1e-3, "read"),
        ("M2 stress area", 2.07, thread.stress_area_mm2, 5e-3, "memory"),
    ):
        source = "ISO 898-1:2013, table 4" if how == "memory" else f"ISO 724; {B113M}"
        unit = "mm²" if "area" in name else "mm"
        outside.check(
            name, source=source, how=how, expected=expected, got=got, within=within, unit=unit
        )


@pytest.mark.parametrize(
    ("name", "area"), [("M1.6", 1.27), ("M2", 2.07), ("M2.5", 3.39), ("M3", 5.03)]
)
def test_metric_stress_areas(outside: Outside, name: str, area: float) -> None:
    outside.check(
        f"{name} nominal stress area",
        source="ISO 898-1:2013, table 4 and thread tables",
        how="memory",
        expected=area,
        got=parse_thread(name).stress_area_mm2,
        within=6e-3,
        unit="mm²",
    )


def test_metric_limits_of_m2(outside: Outside) -> None:
    thread: Thread = parse_thread("M2x0.4")
    screw, hole = metric_external(thread), metric_internal(thread)
    printed = {
        "M2 6g major diameter, most": (1.981, screw.major_mm.most_mm, B113M),
        "M2 6g major diameter, least": (1.886, screw.major_mm.least_mm, B113M),
        "M2 6g pitch diameter, most": (1.721, screw.pitch_diameter_mm.most_mm, B113M),
        "M2 6g pitch diameter, least": (1.654, screw.pitch_diameter_mm.least_mm, B113M),
        "M2 6g flat minor diameter, most": (1.548, thread.minor_mm - screw.allowance_mm, B113M),
        "M2 6g rounded minor diameter, least": (1.408, screw.root_least_mm, B113M),
        "M2 6H minor diameter, least": (1.567, hole.minor_mm.least_mm, ISO965),
        "M2 6H minor diameter, most": (1.679, hole.minor_mm.most_mm, ISO965),
        "M2 6H pitch diameter, least": (1.740, hole.pitch_diameter_mm.least_mm, ISO965),
        "M2 6H pitch diameter, most": (1.830, hole.pitch_diameter_mm.most_mm, ISO965),
    }
    for name, (expected, got, source) in printed.items():
        outside.check(
            name, source=source, how="read", expected=expected, got=got, within=1e-3, unit="mm"
        )


@pytest.mark.parametrize(
    ("name", "minor", "pitch_most"),
    [
        ("M1.6", (1.221, 1.321), 1.458),
        ("M2.5", (2.013, 2.138), 2.303),
        ("M3", (2.459, 2.599), 2.775),
    ],
)
def test_metric_holes_of_other_sizes(
    outside: Outside, name: str, minor: tuple[float, float], pitch_most: float
) -> None:
    hole = usual_fit(parse_thread(name)).internal
    got = (hole.minor_mm.least_mm, hole.minor_mm.most_mm, hole.pitch_diameter_mm.most_mm)
    what = ("minor diameter, least", "minor diameter, most", "pitch diameter, most")
    for part, expected, have in zip(what, (*minor, pitch_most), got, strict=True):
        outside.check(
            f"{name} 6H {part}",
            source="ISO 965-2, limits of size, 6H",
            how="memory",
            expected=expected,
            got=have,
            within=1e-3,
            unit="mm",
        )


@pytest.mark.parametrize("name", ["M1.6", "M2", "M2.2", "M2.5", "M3"])
def test_metric_tolerances_follow_their_formulas(outside: Outside, name: str) -> None:
    """Preferred numbers stand 6 % apart, and the standard's own smoothing moves some by one."""
    thread = parse_thread(name)
    pitch, tolerances = thread.pitch_mm, metric_tolerances(thread)
    mean = math.sqrt(1.4 * 2.8) if thread.major_mm <= 2.8 else math.sqrt(2.8 * 5.6)
    screw_pitch = 90.0 * pitch**0.4 * mean**0.1
    for what, expected, got in (
        ("Td", 180.0 * pitch ** (2 / 3) - 3.15 / math.sqrt(pitch), tolerances.screw_major_mm),
        ("Td2", screw_pitch, tolerances.screw_pitch_mm),
        ("TD1", 433.0 * pitch - 190.0 * pitch**1.22, tolerances.hole_minor_mm),
        ("TD2", 1.32 * screw_pitch, tolerances.hole_pitch_mm),
        ("es", 15.0 + 11.0 * pitch, tolerances.allowance_mm),
    ):
        outside.check(
            f"{name} grade 6, {what}",
            source="formulas of ISO 965-1, clause 13 (from memory)",
            how="memory",
            expected=expected,
            got=got * 1000.0,
            rel=0.06,
            unit="µm",
        )


def test_every_screw_goes_into_its_hole() -> None:
    for name in ("0-80", "2-56", "8-32", "M1.6", "M3"):
        fit = usual_fit(parse_thread(name))
        assert fit.external.major_mm.most_mm < fit.internal.major_least_mm
        assert fit.external.pitch_diameter_mm.most_mm < fit.internal.pitch_diameter_mm.least_mm
        assert math.isfinite(fit.external.root_least_mm)
        assert fit.external.root_most_mm < fit.internal.minor_mm.least_mm
