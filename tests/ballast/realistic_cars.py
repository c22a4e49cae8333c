"""Ten invented cars of five body styles with full drawers, 15 to 20 pieces of 8 kinds each."""

from __future__ import annotations

import itertools
from dataclasses import replace

from hillbench.ballast.cavity import Cavity, Ceiling, KeepOut
from hillbench.ballast.stock import Putty, StockPiece, Strip
from hillbench.ballast.task import BallastTask, CgLimits, FixedMass

QUARTER = StockPiece("lead quarter ounce", (19.0, 12.7, 2.6), 3, 7.087, lie_flat=True, metal="lead")
HALF = StockPiece("lead half ounce", (25.0, 19.0, 2.7), 2, 14.175, lie_flat=True, metal="lead")
EIGHTH = StockPiece("lead eighth ounce", (12.7, 9.5, 2.6), 3, 3.544, lie_flat=True, metal="lead")
CUBE5 = StockPiece("tungsten cube 5", (5.0, 5.0, 5.0), 3, 2.31, metal="tungsten")
CUBE4 = StockPiece("tungsten cube 4", (4.0, 4.0, 4.0), 3, 1.18, metal="tungsten")
ROD = StockPiece("tungsten rod", (10.0, 4.0, 4.0), 2, 2.32, shape="cylinder", metal="tungsten")
DISC = StockPiece("tungsten disc", (3.0, 8.0, 8.0), 2, 2.79, shape="cylinder", metal="tungsten")
PLATE = StockPiece("tungsten plate", (15.0, 10.0, 2.0), 2, 5.55, lie_flat=True, metal="tungsten")
STEEL = StockPiece("steel bar", (20.0, 6.0, 3.0), 2, 2.83, lie_flat=True, metal="steel")
ZINC = StockPiece("zinc bar", (18.0, 9.0, 3.2), 2, 3.70, lie_flat=True, metal="zinc")
STRIP = StockPiece("lead strip", (12.0, 2.0), 2, strip=Strip(6.0, 30.0, 4.0, 0.272), lie_flat=True)
PUTTY = Putty(9.0, 2.5)


def _body(mass_g: float, x_mm: float, z_mm: float = 9.5) -> tuple[FixedMass, ...]:
    return (
        FixedMass("body and base", mass_g, x_mm, 0.0, z_mm),
        FixedMass("drilled posts", -0.4, 20.0, 0.0, 6.0),
    )


def _axles(wheelbase_mm: float, half_width_mm: float) -> tuple[KeepOut, ...]:
    across = (-half_width_mm, half_width_mm)
    return tuple(
        KeepOut(f"{name} axle", "box", (x - 1.3, x + 1.3), across, (None, 6.2), None, 0.4)
        for name, x in (("rear", 0.0), ("front", wheelbase_mm))
    )


def _posts(rear_mm: float, front_mm: float) -> tuple[KeepOut, ...]:
    return tuple(
        KeepOut(f"{name} post", "cylinder", x, 0.0, (None, None), 2.4, 0.4)
        for name, x in (("rear", rear_mm), ("front", front_mm))
    )


def _car(
    line: tuple[tuple[float, float], ...],
    wheelbase_mm: float,
    posts_mm: tuple[float, float],
    half_width_mm: float = 10.8,
    seats: tuple[KeepOut, ...] = (),
) -> Cavity:
    """Return a cavity below a line of (x, z) points seen from the side."""
    surfaces = tuple(
        Ceiling(f"line {number}", "profile", a, b, clearance_mm=0.4)
        for number, (a, b) in enumerate(itertools.pairwise(line), start=1)
    )
    glass = Ceiling("side glass", "side", None, None, half_width_mm, 9.0, 0.35, 0.3)
    keep_outs = (*_axles(wheelbase_mm, half_width_mm + 1), *_posts(*posts_mm), *seats)
    return Cavity(
        (line[0][0], line[-1][0]),
        (-half_width_mm, half_width_mm),
        3.6,
        (*surfaces, glass),
        keep_outs,
        0.3,
    )


SALOON = _car(((-11, 9), (-3, 11), (4, 17), (22, 17.5), (31, 11), (52, 8.5)), 42.0, (-6.5, 34.0))
COUPE = _car(((-10, 8), (6, 15), (18, 15.5), (29, 10), (50, 7.5)), 40.0, (-6.0, 33.0), 10.4)
VAN = _car(((-12, 22), (30, 22), (42, 12), (50, 9)), 41.0, (-7.0, 45.5), 11.2)
_OPEN_LINE = ((-10, 9.5), (12, 9.5), (13, 13), (24, 13), (25, 9), (50, 8))
OPEN = _car(_OPEN_LINE, 40.0, (-6.0, 33.5), 10.6)
TRUCK = _car(
    ((-14, 9), (12, 9.2), (14, 19), (26, 19), (33, 12), (52, 10)), 45.0, (-8.0, 38.0), 11.0
)
SEATS = (
    KeepOut("rear seat", "box", (5.0, 10.0), (-9.0, 9.0), (None, 6.5), None, 0.0),
    KeepOut("front seat", "box", (15.0, 19.0), (-9.0, 9.0), (None, 7.0), None, 0.3),
)


def _with_seats(cavity: Cavity) -> Cavity:
    return replace(cavity, keep_outs=(*cavity.keep_outs, *SEATS))


def _task(
    cavity: Cavity,
    wheelbase_mm: float,
    limit_g: float,
    body: tuple[float, float],
    stock: tuple[StockPiece, ...],
    window: tuple[float, float] = (0.42, 0.5),
    putty: Putty | None = PUTTY,
) -> BallastTask:
    return BallastTask(
        wheelbase_mm,
        limit_g,
        cavity,
        stock,
        _body(*body),
        cg=CgLimits(window, 0.5),
        putty=putty,
    )


_FULL = (QUARTER, EIGHTH, CUBE5, CUBE4, ROD, PLATE, STEEL, ZINC)
_FLAT = (QUARTER, HALF, EIGHTH, PLATE, STEEL, ZINC, CUBE4, DISC)
_SMALL = (EIGHTH, CUBE5, CUBE4, ROD, DISC, PLATE, STEEL, ZINC)
_CUT = (QUARTER, EIGHTH, CUBE5, CUBE4, ROD, PLATE, STEEL, STRIP)

CARS = {
    "saloon to 57 g": _task(SALOON, 42.0, 57.0, (33.0, 20.0), _FULL),
    "saloon with seats": _task(_with_seats(SALOON), 42.0, 57.0, (33.0, 20.0), _FULL),
    "coupé, flat pieces": _task(COUPE, 40.0, 50.0, (29.0, 19.0), _FLAT),
    "coupé, tight": _task(COUPE, 40.0, 60.0, (29.0, 19.0), _SMALL),
    "van to 70 g": _task(VAN, 41.0, 70.0, (38.0, 20.0), _FULL),
    "van without putty": _task(VAN, 41.0, 62.0, (38.0, 20.0), _SMALL, putty=None),
    "open car": _task(OPEN, 40.0, 50.0, (27.0, 19.5), _SMALL),
    "truck, nose heavy": _task(TRUCK, 45.0, 65.0, (36.0, 24.5), _FULL, (0.44, 0.5)),
    "truck with strip": _task(TRUCK, 45.0, 60.0, (36.0, 22.0), _CUT),
    "saloon, narrow window": _task(SALOON, 42.0, 55.0, (33.0, 20.5), _FLAT, (0.455, 0.465)),
}
