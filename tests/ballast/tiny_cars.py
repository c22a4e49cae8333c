"""Tiny random cars, small enough for every plan to be tried."""

from __future__ import annotations

import random

from hillbench.ballast.balance import balance_of
from hillbench.ballast.cavity import Cavity, Ceiling, KeepOut
from hillbench.ballast.kind import kinds_of
from hillbench.ballast.stock import Putty, StockPiece, Strip
from hillbench.ballast.task import BallastTask, CgLimits, FixedMass
from tests.ballast.brute_force import Piece


def tiny_task(rng: random.Random) -> BallastTask:
    """Return a task on a grid of a few cells, with all that a cavity may have."""
    grid = rng.choice((2.0, 2.4, 3.0))
    length, width = grid * rng.randint(3, 6), grid * rng.randint(2, 4)
    x0, floor = rng.choice((-2.0, 0.0, 3.5)), rng.choice((0.5, 2.0))
    return BallastTask(
        wheelbase_mm=20.0,
        limit_g=rng.choice((16.0, 18.0, 22.0)),
        cavity=Cavity(
            (x0, x0 + length),
            (-width / 2 + rng.choice((0.0, 0.3)), width / 2),
            floor,
            tuple(_ceilings(rng, (x0, x0 + length), width, floor)),
            tuple(_keep_outs(rng, (x0, x0 + length), width, floor)),
            rng.choice((0.0, 0.0, 0.2)),
        ),
        stock=tuple(_stock(rng, grid)),
        fixed=_fixed(rng, x0 + length / 2),
        scale_guard_g=rng.choice((0.0, 0.05)),
        cg=CgLimits(
            rng.choice(((0.0, 1.0), (0.3, 0.5), (0.45, 0.5), (0.1, 0.15))),
            rng.choice((None, 0.2, 1.0)),
        ),
        putty=Putty(10.0, rng.choice((0.4, 1.0))) if rng.random() < 0.2 else None,
        max_overhang=rng.choice((0.0, 0.25, 0.4)),
        floor_support=rng.choice((0.6, 1.0)),
        grid_mm=grid,
    )


def _fixed(rng: random.Random, middle: float) -> tuple[FixedMass, ...]:
    body = FixedMass("body", 12.0, middle + rng.choice((-1.5, 0.0, 2.0)), 0.0, 6.0)
    if rng.random() < 0.3:
        return body, FixedMass("drilled", -0.5, middle, rng.choice((0.0, 1.0)), 2.0)
    return (body,)


def _ceilings(
    rng: random.Random, ends: tuple[float, float], width: float, floor: float
) -> list[Ceiling]:
    height = floor + rng.choice((3.0, 4.5, 7.0))
    middle = ends[0] + 0.6 * (ends[1] - ends[0])
    front = height - rng.choice((0.0, 1.0, 3.0))
    surfaces = [
        Ceiling("roof", "profile", (ends[0] - 1, height), (middle, height), clearance_mm=0.2),
        Ceiling("screen", "profile", (ends[1] + 1, front), (middle, height)),
    ]
    if rng.random() < 0.5:
        lean = rng.choice((0.0, 0.3, 1.0))
        half = width / 2 + rng.choice((0.0, 0.3))
        surfaces.append(
            Ceiling("side", "side", None, None, half, floor + 1.0, lean, rng.choice((0.0, 0.1)))
        )
    return surfaces


def _keep_outs(
    rng: random.Random, ends: tuple[float, float], width: float, floor: float
) -> list[KeepOut]:
    found = []
    start = rng.uniform(ends[0], ends[1] - 2.0)
    if rng.random() < 0.4:
        gap = rng.choice((0.0, 0.0, 0.3))
        box = (round(start, 1), round(start, 1) + rng.choice((1.0, 4.0, 6.0)))
        found.append(KeepOut("seat", "box", box, (-width, width), (None, floor + 1.5), None, gap))
    if rng.random() < 0.3:
        place = (round(start, 1), round(rng.uniform(-width / 2, width / 2), 1))
        heights = rng.choice(((None, None), (None, floor + 1.0), (floor + 2.0, None)))
        found.append(KeepOut("post", "cylinder", *place, heights, 0.9, 0.2))
    return found


def _stock(rng: random.Random, grid: float) -> list[StockPiece]:
    stock = []
    for name in ("bar", "block", "slip")[: rng.randint(1, 3)]:
        edges = [round(grid * rng.choice((0.5, 0.9, 1.0, 1.4, 2.0)), 1) for _ in range(2)]
        sizes = (*edges, rng.choice((0.8, 1.0, 1.5, round(grid, 1))))
        stock.append(
            StockPiece(
                name,
                sizes,
                rng.choice((1, 1, 2)),
                mass_g=rng.choice((1.0, 1.6, 2.25, 3.0, 4.2)),
                lie_flat=rng.random() < 0.6,
                flat_top=rng.random() < 0.8,
            )
        )
    if rng.random() < 0.15:
        stock[0] = StockPiece("strip", (grid, 1.0), 1, strip=Strip(grid, 2 * grid, grid, 0.4))
    return stock


def pieces_of(task: BallastTask) -> list[Piece]:
    """Return the pieces of a task one by one, for the brute force."""
    found = []
    for group, entry in enumerate(task.stock):
        flat = bool(entry.lie_flat)
        if entry.strip is None:
            assert entry.mass_g is not None
            one = (entry.mass_g, tuple(entry.size_mm), flat, entry.flat_top)
            found += [
                Piece(group, group, one[0], one[1], one[2], one[3]) for _ in range(entry.count)
            ]
            continue
        lengths = (entry.strip.min_mm, entry.strip.min_mm + entry.strip.step_mm)
        found += [
            Piece(
                group,
                group,
                x * entry.strip.g_per_mm,
                (x, *entry.size_mm),
                flat,
                entry.flat_top,
                cut=True,
            )
            for x in lengths
        ]
    for kind in kinds_of((), task.putty, balance_of(task).room_mg):
        lay = kind.lays[0]
        size = (lay.long / 10, lay.broad / 10, lay.rise / 10)
        found.append(Piece(99, 99, kind.mass_mg / 1000, size, True, False, putty=True, cut=True))
    return found
