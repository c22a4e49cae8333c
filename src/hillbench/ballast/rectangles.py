"""Cover a region of cells with few rectangles."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Rectangle = tuple[int, int, int, int]
"""First and past-the-last cell along, first and past-the-last cell across."""


def cover(region: NDArray[np.bool_]) -> list[Rectangle]:
    """Return rectangles, which may overlap, whose union is the region.

    Each run of a row is stretched along as far as it stays inside; of the rectangles found,
    those inside another are left out.
    """
    found: list[Rectangle] = []
    for along in np.flatnonzero(region.any(axis=1)):
        edges = np.flatnonzero(np.diff(np.concatenate(([0], region[along].astype(np.int8), [0]))))
        for low, high in zip(edges[::2], edges[1::2], strict=True):
            whole = [bool(row.all()) for row in region[:, low:high]]
            first, last = int(along), int(along) + 1
            while first > 0 and whole[first - 1]:
                first -= 1
            while last < len(whole) and whole[last]:
                last += 1
            found.append((first, last, int(low), int(high)))
    unique = sorted(set(found))
    return [one for one in unique if not any(_inside(one, other) for other in unique)]


def split(region: NDArray[np.bool_]) -> list[Rectangle]:
    """Return rectangles that do not overlap and whose union is the region."""
    left = region.copy()
    found: list[Rectangle] = []
    for along in np.flatnonzero(region.any(axis=1)):
        edges = np.flatnonzero(np.diff(np.concatenate(([0], left[along].astype(np.int8), [0]))))
        for low, high in zip(edges[::2], edges[1::2], strict=True):
            last = int(along) + 1
            while last < len(left) and left[last, low:high].all():
                last += 1
            left[along:last, low:high] = False
            found.append((int(along), last, int(low), int(high)))
    return found


def _inside(inner: Rectangle, outer: Rectangle) -> bool:
    return (
        inner != outer
        and outer[0] <= inner[0]
        and inner[1] <= outer[1]
        and outer[2] <= inner[2]
        and inner[3] <= outer[3]
    )


def bounds(region: NDArray[np.bool_]) -> Rectangle:
    """Return the smallest rectangle around a region that is not empty."""
    along, across = np.flatnonzero(region.any(axis=1)), np.flatnonzero(region.any(axis=0))
    return int(along[0]), int(along[-1]) + 1, int(across[0]), int(across[-1]) + 1
