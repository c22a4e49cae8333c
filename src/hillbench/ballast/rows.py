"""What counts of pieces must keep to, whatever their places: linear rows in whole numbers."""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hillbench.ballast.places import Place, Posed

Whole = NDArray[np.int64]

_MOST_NUMBERS: Final = 8_000_000
"""Numbers in all rows of room; a large drawer gets fewer rows, which are as right."""

_FEWEST: Final = 8
"""Regions that are looked at however large the drawer."""


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Rows that every layout keeps to: ``matrix @ counts <= limits``.

    Attributes
    ----------
    matrix
        One row for each rule, one column for each class of placements.
    limits
        Greatest value of each row.
    of_room
        Whether a row is one of room.
    """

    matrix: Whole
    limits: Whole
    of_room: NDArray[np.bool_]


def rows_of(problem: Posed) -> Rows:
    """Return the rows of stock, room and support."""
    room = list(_room(problem))
    found = [*room, *_stock(problem), *_support(problem)]
    matrix = np.array([row for row, _ in found], dtype=np.int64)
    return Rows(
        matrix.reshape(len(found), len(problem.places)),
        np.array([limit for _, limit in found], dtype=np.int64),
        np.arange(len(found)) < len(room),
    )


def footprints(problem: Posed) -> Whole:
    """Return how many cells a piece of each class takes."""
    cells = problem.cells
    return np.array(
        [cells(place.lay.long) * cells(place.lay.broad) for place in problem.places],
        dtype=np.int64,
    )


def _stock(problem: Posed) -> Iterator[tuple[Whole, int]]:
    """Take no more of anything than there is."""
    of_stock: dict[int, list[Place]] = defaultdict(list)
    for place in problem.places:
        of_stock[problem.kind(place).stock_index].append(place)
    for places in of_stock.values():
        row = np.zeros(len(problem.places), dtype=np.int64)
        row[[place.index for place in places]] = 1
        yield row, max(problem.kind(place).count for place in places)


def _room(problem: Posed) -> Iterator[tuple[Whole, int]]:
    """Bound the area of all that can lie only within some cells by their number, slab by slab.

    A slab lies between two heights at which some piece may end. The cells looked at are those
    that some class can take, alone and all together.
    """
    places, areas = problem.places, footprints(problem)
    if not places:
        return
    low = np.array([place.z for place in places])
    top = np.array([place.top for place in places])
    covers = np.array([place.cover for place in places])
    regions, slabs = _regions(problem, covers), _slabs(low, top)
    most = max(_MOST_NUMBERS // len(places), 1)
    regions = regions[: max(most // len(slabs), _FEWEST)]
    slabs = slabs[:: -(-len(slabs) * len(regions) // most)]
    inside = np.array([~(covers & ~region).any(axis=1) for region in regions])
    sizes = np.bitwise_count(regions).sum(axis=1, dtype=np.int64)
    limits: dict[bytes, int] = {}
    for bottom, above in slabs:
        here = (low <= bottom) & (top >= above)
        for within, size in zip(inside, sizes, strict=True):
            _keep(limits, here & within, int(size))
        together = np.bitwise_or.reduce(covers[here], axis=0)
        _keep(limits, here, int(np.bitwise_count(together).sum()))
    counts = np.array([problem.kind(place).count for place in places])
    for key, limit in limits.items():
        row = np.where(np.frombuffer(key, dtype=np.bool_), areas, 0)
        if int((row * counts).sum()) > limit:
            yield row, limit


def _keep(limits: dict[bytes, int], among: NDArray[np.bool_], limit: int) -> None:
    key = among.tobytes()
    limits[key] = min(limits.get(key, limit), limit)


def _regions(problem: Posed, covers: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return the sets of cells that classes can take, those of the lowest classes first."""
    heights = np.array([problem.centre_z(place) for place in problem.places])
    unlike, first = np.unique(covers, axis=0, return_index=True)
    regions: NDArray[np.uint8] = unlike[np.argsort(heights[first], kind="stable")]
    return regions


def _slabs(low: Whole, top: Whole) -> list[tuple[int, int]]:
    """Return slabs between neighbouring heights, but those whose pieces are all in another.

    That is so unless some piece begins at the lower height and some ends at the upper one.
    """
    begins, ends = set(low.tolist()), set(top.tolist())
    heights = itertools.pairwise(sorted(begins | ends))
    return [(bottom, above) for bottom, above in heights if bottom in begins and above in ends]


def _support(problem: Posed) -> Iterator[tuple[Whole, int]]:
    """Let what lies on pieces have pieces of that height, and area enough, below it."""
    size = len(problem.places)
    upper: dict[tuple[int, int], Whole] = defaultdict(lambda: np.zeros(size, dtype=np.int64))
    for place in problem.places:
        if place.layer > 1:
            upper[place.layer, place.z][place.index] += _resting_area(problem, place)
    for place in problem.places:
        key = (place.layer + 1, place.top)
        if key in upper and problem.kind(place).carries:
            upper[key][place.index] -= place.lay.long * place.lay.broad
    for row in upper.values():
        yield row, 0


def _resting_area(problem: Posed, place: Place) -> int:
    """Return the least area on its carrier that a piece needs, hundredths of a mm²."""
    hang, lay = problem.hang, place.lay
    return max(lay.long - 2 * hang(lay.long), 1) * max(lay.broad - 2 * hang(lay.broad), 1)
