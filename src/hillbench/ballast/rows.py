"""What counts of pieces must keep to, whatever their places: linear rows in whole numbers."""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hillbench.ballast.places import Place, Posed

Whole = NDArray[np.int64]


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
    covers, inside = _nested(problem)
    sizes = covers.sum(axis=1)
    low = np.array([place.z for place in places])
    top = np.array([place.top for place in places])
    counts = np.array([problem.kind(place).count for place in places])
    limits: dict[bytes, int] = {}
    for bottom, above in itertools.pairwise(sorted({*low.tolist(), *top.tolist()})):
        here = (low <= bottom) & (top >= above)
        for member in np.flatnonzero(here):
            among = here & inside[:, member]
            _keep(limits, among, int(sizes[member]))
        if here.any():
            _keep(limits, here, int(covers[here].any(axis=0).sum()))
    for key, limit in limits.items():
        row = np.where(np.frombuffer(key, dtype=np.bool_), areas, 0)
        if int((row * counts).sum()) > limit:
            yield row, limit


def _keep(limits: dict[bytes, int], among: NDArray[np.bool_], limit: int) -> None:
    key = among.tobytes()
    limits[key] = min(limits.get(key, limit), limit)


def _nested(problem: Posed) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Return the cells of each class and whether those of one lie within those of another."""
    covers = np.array([place.cover for place in problem.places])
    packed = np.packbits(covers, axis=1)
    _, first, which = np.unique(packed, axis=0, return_index=True, return_inverse=True)
    few = covers[first].astype(np.float32)
    within = few @ (1.0 - few).T < 0.5
    return covers, within[np.ix_(which.ravel(), which.ravel())]


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
