"""All that a plan depends on: the car, its class, its inside and the drawer."""

from __future__ import annotations

from dataclasses import dataclass, field

from hillbench.ballast.cavity import Cavity
from hillbench.ballast.stock import Putty, StockPiece


@dataclass(frozen=True, slots=True)
class CgLimits:
    """Where the centre of gravity is to be.

    Attributes
    ----------
    window_ahead_of_rear_axle
        Least and most distance ahead of the rear axle, as shares of the wheelbase.
    side_max_mm
        Most distance from the centre line, mm; null for any.
    """

    window_ahead_of_rear_axle: tuple[float, ...] = (0.0, 1.0)
    side_max_mm: float | None = None


@dataclass(frozen=True, slots=True)
class FixedMass:
    """Something whose place is settled; negative for what was removed.

    Attributes
    ----------
    name
        What it is.
    mass_g
        Its mass, g.
    x_mm, y_mm, z_mm
        Its centre of gravity, mm.
    """

    name: str
    mass_g: float
    x_mm: float
    y_mm: float
    z_mm: float


@dataclass(frozen=True, slots=True)
class BallastTask:
    """One car to be brought to its mass.

    Attributes
    ----------
    wheelbase_mm
        Wheelbase, mm.
    limit_g
        Most that the class allows, g.
    cavity
        The inside of the car.
    stock
        Pieces in the drawer.
    fixed
        The bare car and all that is settled.
    scale_guard_g
        How far to stay below the limit, since scales differ, g.
    cg
        Where the centre of gravity is to be.
    putty
        Filler, if there is any.
    max_overhang
        Most that a piece may hang over what carries it on each side, as a share of its length.
    floor_support
        Least share of a piece's area that the floor carries.
    grid_mm
        Step of the places tried, mm.
    """

    wheelbase_mm: float
    limit_g: float
    cavity: Cavity
    stock: tuple[StockPiece, ...]
    fixed: tuple[FixedMass, ...]
    scale_guard_g: float = 0.05
    cg: CgLimits = field(default=CgLimits())
    putty: Putty | None = None
    max_overhang: float = 0.25
    floor_support: float = 0.6
    grid_mm: float = 0.5
