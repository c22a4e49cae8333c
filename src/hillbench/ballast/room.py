"""The cavity as two height maps on a grid, in tenths of a millimetre."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hillbench.ballast.cavity import Cavity, Ceiling, KeepOut

Cells = NDArray[np.int64]

NOWHERE: Final = -1_000_000
"""Height of the support of a cell on which nothing may rest."""

_SLACK: Final = 1e-7
"""Tenths of a millimetre by which the binary form of a decimal may be off."""


@dataclass(frozen=True, slots=True)
class Room:
    """Space for pieces, cell by cell; lengths in tenths of a millimetre.

    Attributes
    ----------
    step
        Edge of a cell.
    x_low, y_low
        Corner of the first cell.
    floor, ceiling
        Greatest height of what is below and least height of what is above each cell, shape
        (cells along, cells across).
    support
        Height on which a piece may rest, `NOWHERE` where there is none.
    """

    step: int
    x_low: int
    y_low: int
    floor: Cells
    ceiling: Cells
    support: Cells

    @property
    def volume_cm3(self) -> float:
        """Free volume, cm³."""
        free = np.maximum(self.ceiling - self.floor, 0).sum()
        return float(free) * self.step**2 / 1e6


def map_room(cavity: Cavity, grid_mm: float) -> Room:
    """Return the cavity on a grid; what a cell touches limits the whole cell."""
    step = round(grid_mm * 10.0)
    x_low, along = _cells(cavity.x_mm, cavity.wall_clearance_mm, step)
    y_low, across = _cells(cavity.y_mm, cavity.wall_clearance_mm, step)
    base = _up(cavity.floor_z_mm)
    floor = np.full((along, across), base, dtype=np.int64)
    support = floor.copy()
    x_edges = x_low + step * np.arange(along + 1)
    y_edges = y_low + step * np.arange(across + 1)
    top = np.full((along, across), np.inf)
    for surface in cavity.ceiling:
        top = np.minimum(top, _surface(surface, x_edges, y_edges))
    # Where no surface is named there is no roof to trust, so nothing may stand there.
    top = np.where(np.isfinite(top), top, -np.inf)
    ceiling = np.floor(np.maximum(top, base - 1.0) + _SLACK).astype(np.int64)
    for keep_out in cavity.keep_outs:
        _put_in(keep_out, floor, ceiling, support, (x_edges, y_edges))
    return Room(step, x_low, y_low, floor, ceiling, support)


def _cells(ends_mm: tuple[float, ...], clearance_mm: float, step: int) -> tuple[int, int]:
    """Return the low edge and number of whole cells between two walls, centred."""
    low, high = _up(ends_mm[0] + clearance_mm), _down(ends_mm[1] - clearance_mm)
    count = max((high - low) // step, 0)
    return low + (high - low - count * step) // 2 if count else low, count


def _up(length_mm: float) -> int:
    return math.ceil(length_mm * 10.0 - _SLACK)


def _down(length_mm: float) -> int:
    return math.floor(length_mm * 10.0 + _SLACK)


def _surface(surface: Ceiling, x_edges: Cells, y_edges: Cells) -> NDArray[np.float64]:
    """Return the least height of a surface over each cell, tenths of a mm."""
    shape = (len(x_edges) - 1, len(y_edges) - 1)
    if surface.kind == "profile":
        return np.broadcast_to(_profile(surface, x_edges)[:, None], shape)
    return np.broadcast_to(_side(surface, y_edges)[None, :], shape)


def _profile(surface: Ceiling, x_edges: Cells) -> NDArray[np.float64]:
    (x0, z0), (x1, z1) = sorted([surface.from_mm or (0.0, 0.0), surface.to_mm or (0.0, 0.0)])
    low = np.maximum(x_edges[:-1] / 10.0, x0)
    high = np.minimum(x_edges[1:] / 10.0, x1)
    rise = (z1 - z0) / (x1 - x0)
    least = np.minimum(z0 + rise * (low - x0), z0 + rise * (high - x0))
    touched = high - low > _SLACK
    return np.where(touched, (least - surface.clearance_mm) * 10.0, np.inf)


def _side(surface: Ceiling, y_edges: Cells) -> NDArray[np.float64]:
    """Height at which a leaning wall, moved in by its clearance, reaches a cell."""
    outer = np.maximum(np.abs(y_edges[:-1]), np.abs(y_edges[1:])) / 10.0
    spare = (surface.half_width_mm or 0.0) - surface.clearance_mm - outer
    lean, start = surface.lean or 0.0, surface.z_from_mm or 0.0
    if lean <= 0.0:
        return np.where(spare >= -_SLACK, np.inf, -np.inf)
    height = start + np.maximum(spare, 0.0) / lean
    return np.where(spare >= -_SLACK, height * 10.0, -np.inf)


def _put_in(
    keep_out: KeepOut, floor: Cells, ceiling: Cells, support: Cells, edges: tuple[Cells, Cells]
) -> None:
    """Raise the floor or lower the ceiling where a keep-out stands."""
    cells = _touched(keep_out, *edges)
    if not cells.any():
        return
    low_mm, high_mm = keep_out.z_mm or (None, None)
    lowest, highest = int(floor[cells].min()), int(ceiling[cells].max())
    low = lowest if low_mm is None else _down(low_mm - keep_out.clearance_mm)
    high = highest if high_mm is None else _up(high_mm + keep_out.clearance_mm)
    if low_mm is None or (high_mm is not None and low - lowest <= highest - high):
        _raise_floor(cells, high, floor, support)
        if keep_out.clearance_mm == 0.0 and (high_mm is not None) and low <= lowest:
            support[_covered(keep_out, *edges) & (floor == high)] = high
    else:
        ceiling[cells] = np.minimum(ceiling[cells], low)


def _raise_floor(cells: NDArray[np.bool_], high: int, floor: Cells, support: Cells) -> None:
    raised = cells & (floor <= high)
    support[raised & (floor < high)] = NOWHERE
    floor[raised] = high


def _covered(keep_out: KeepOut, x_edges: Cells, y_edges: Cells) -> NDArray[np.bool_]:
    """Return the cells that lie wholly on a keep-out, so that it can carry there."""
    if keep_out.shape == "box":
        (x0, x1), (y0, y1) = keep_out.x_mm, keep_out.y_mm  # type: ignore[misc]
        along = (x_edges[:-1] >= x0 * 10 - _SLACK) & (x_edges[1:] <= x1 * 10 + _SLACK)
        across = (y_edges[:-1] >= y0 * 10 - _SLACK) & (y_edges[1:] <= y1 * 10 + _SLACK)
        return along[:, None] & across[None, :]
    far_x = np.abs(x_edges - float(keep_out.x_mm) * 10)  # type: ignore[arg-type]
    far_y = np.abs(y_edges - float(keep_out.y_mm) * 10)  # type: ignore[arg-type]
    far_x, far_y = np.maximum(far_x[1:], far_x[:-1]), np.maximum(far_y[1:], far_y[:-1])
    reach = (keep_out.radius_mm or 0.0) * 10 + _SLACK
    covered: NDArray[np.bool_] = far_x[:, None] ** 2 + far_y[None, :] ** 2 <= reach**2
    return covered


def _touched(keep_out: KeepOut, x_edges: Cells, y_edges: Cells) -> NDArray[np.bool_]:
    """Return the cells that come nearer to a keep-out than its clearance."""
    gap = keep_out.clearance_mm * 10.0
    if keep_out.shape == "box":
        (x0, x1), (y0, y1) = keep_out.x_mm, keep_out.y_mm  # type: ignore[misc]
        along = (x_edges[1:] > x0 * 10 - gap + _SLACK) & (x_edges[:-1] < x1 * 10 + gap - _SLACK)
        across = (y_edges[1:] > y0 * 10 - gap + _SLACK) & (y_edges[:-1] < y1 * 10 + gap - _SLACK)
        return along[:, None] & across[None, :]
    centre_x, centre_y = float(keep_out.x_mm) * 10, float(keep_out.y_mm) * 10  # type: ignore[arg-type]
    near_x = np.clip(centre_x, x_edges[:-1], x_edges[1:]) - centre_x
    near_y = np.clip(centre_y, y_edges[:-1], y_edges[1:]) - centre_y
    reach = (keep_out.radius_mm or 0.0) * 10 + gap
    near: NDArray[np.bool_] = near_x[:, None] ** 2 + near_y[None, :] ** 2 < (reach - _SLACK) ** 2
    return near
