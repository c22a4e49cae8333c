"""Plain boxes as cavities."""

from __future__ import annotations

from hillbench.ballast.cavity import Cavity, Ceiling
from hillbench.ballast.stock import StockPiece
from hillbench.ballast.task import BallastTask, CgLimits, FixedMass

ANYWHERE = CgLimits((0.0, 1.0))


def box_task(
    size_mm: tuple[float, float],
    height_mm: float,
    stock: tuple[StockPiece, ...],
    *,
    front_z_mm: float | None = None,
    limit_g: float = 30.0,
    cg: CgLimits = ANYWHERE,
    grid_mm: float = 2.0,
    max_overhang: float = 0.25,
) -> BallastTask:
    """Return a car whose cavity is a box, or a wedge that falls to `front_z_mm` ahead."""
    length, width = size_mm
    front = height_mm if front_z_mm is None else front_z_mm
    roof = Ceiling("roof", "profile", (0.0, 1.0 + height_mm), (length, 1.0 + front))
    return BallastTask(
        wheelbase_mm=20.0,
        limit_g=limit_g,
        cavity=Cavity((0.0, length), (-width / 2, width / 2), 1.0, (roof,)),
        stock=stock,
        fixed=(FixedMass("body", 20.0, 8.0, 0.0, 5.0),),
        scale_guard_g=0.0,
        cg=cg,
        grid_mm=grid_mm,
        max_overhang=max_overhang,
    )
