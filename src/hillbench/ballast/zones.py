"""Zones: parts of the cavity, one behind the other, that a piece on a level cannot leave.

Axles and posts divide a floor. A class of placements that can lie in two zones is split into
one for each, so that counts alone say more of room and of balance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.bool_]
Masks = tuple[Mask, Mask]


@dataclass(frozen=True, slots=True, eq=False)
class Zone:
    """What a piece can reach in one zone.

    Attributes
    ----------
    masks
        Cells of its low corner that are allowed there, without and with the quarter turn.
    cover
        Cells of the cavity that it can take from there, one after the other, as packed bits.
    """

    masks: Masks
    cover: NDArray[np.uint8]


def zones_of(masks: Masks, cells: tuple[int, int], shape: tuple[int, ...]) -> list[Zone]:
    """Return the zones of a piece, rear to front.

    Parameters
    ----------
    masks
        Cells of its low corner that are allowed, without and with the quarter turn.
    cells
        Cells that its longer and its shorter edge take.
    shape
        Cells of the cavity along and across.
    """
    covers = [
        _cover(mask, edges, shape) for mask, edges in zip(masks, (cells, cells[::-1]), strict=True)
    ]
    both = covers[0] | covers[1]
    ends = np.flatnonzero(np.diff(np.concatenate(([0], both.any(axis=1).astype(np.int8), [0]))))
    if len(ends) == 2:
        return [Zone(masks, np.packbits(both))]
    zones = []
    for low, high in zip(ends[::2], ends[1::2], strict=True):
        rows = np.zeros((shape[0], 1), dtype=np.bool_)
        rows[low:high] = True
        part = (masks[0] & rows[: len(masks[0])], masks[1] & rows[: len(masks[1])])
        zones.append(Zone(part, np.packbits(both & rows)))
    return zones


def _cover(mask: Mask, edges: tuple[int, int], shape: tuple[int, ...]) -> Mask:
    """Return the cells under any allowed footprint, by sums of corners (a prefix sum in 2-D)."""
    corners = np.zeros((shape[0] + 1, shape[1] + 1), dtype=np.int32)
    rows, columns = mask.shape
    if not mask.any():
        return np.zeros(shape, dtype=np.bool_)
    for first, across, sign in ((0, 0, 1), (1, 0, -1), (0, 1, -1), (1, 1, 1)):
        low, left = first * edges[0], across * edges[1]
        corners[low : low + rows, left : left + columns] += sign * mask.astype(np.int32)
    covered: Mask = corners.cumsum(axis=0).cumsum(axis=1)[:-1, :-1] > 0
    return covered
