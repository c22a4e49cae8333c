"""Where pieces may lie: classes of equal kind, height as laid, level, layer and zone."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hillbench.ballast.balance import Balance, balance_of
from hillbench.ballast.kind import Kind, Lay, kinds_of
from hillbench.ballast.room import NOWHERE, Room, map_room
from hillbench.ballast.task import BallastTask
from hillbench.ballast.zones import zones_of

MOST_LAYERS: Final = 3

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """A class of placements: what is the same however the piece is shifted or turned.

    Attributes
    ----------
    index
        Its number.
    kind_index
        The kind of piece.
    lay
        How it lies.
    z
        Height of its underside, tenths of a mm.
    layer
        1 on the floor, 2 on a piece, 3 on a piece on a piece.
    masks
        Cells of its low corner that are allowed, without and with the quarter turn, as
        (cells along, cells across); only shifts that stay inside.
    floor_rule
        Whether the floor carries it only in part, so that its place is more than free room.
    cover
        Cells that it can take, one after the other along the rows of the cavity, as packed
        bits.
    """

    index: int
    kind_index: int
    lay: Lay
    z: int
    layer: int
    masks: tuple[Mask, Mask]
    floor_rule: bool
    cover: NDArray[np.uint8]

    @property
    def top(self) -> int:
        """Height of its upper side, tenths of a mm."""
        return self.z + self.lay.rise


@dataclass(frozen=True, slots=True, eq=False)
class Posed:
    """A task in whole numbers: the one definition of what is allowed.

    Attributes
    ----------
    room
        Free space.
    balance
        What is to be reached.
    kinds
        Pieces.
    places
        Every class of placements.
    overhang
        Most that a piece may hang over on a side, as a share of its length.
    """

    room: Room
    balance: Balance
    kinds: tuple[Kind, ...]
    places: tuple[Place, ...]
    overhang: float

    def cells(self, edge: int) -> int:
        """Return how many cells a length takes."""
        return -(-edge // self.room.step)

    def hang(self, edge: int) -> int:
        """Return how far a piece of this length may hang over, tenths of a mm."""
        return math.floor(edge * self.overhang + 1e-9)

    def kind(self, place: Place) -> Kind:
        """Return the kind of a place."""
        return self.kinds[place.kind_index]

    def centre_z(self, place: Place) -> int:
        """Return the height of a piece's centre there, twentieths of a mm."""
        return 2 * place.z + self.kind(place).tape + place.lay.rise


def pose(task: BallastTask) -> Posed:
    """Return a checked task in whole numbers."""
    room, balance = map_room(task.cavity, task.grid_mm), balance_of(task)
    kinds = tuple(kinds_of(task.stock, task.putty, balance.room_mg))
    places = _Search(room, kinds, task.floor_support).all_places()
    return Posed(room, balance, kinds, tuple(places), task.max_overhang)


class _Search:
    """Enumerates the heights that stacks can reach, layer by layer."""

    def __init__(self, room: Room, kinds: tuple[Kind, ...], support: float) -> None:
        self._room = room
        self._kinds = kinds
        self._support = support
        self._places: list[Place] = []
        self._sums: dict[tuple[str, int], NDArray[np.int64]] = {}

    def all_places(self) -> list[Place]:
        levels = sorted({int(z) for z in np.unique(self._room.support)} - {NOWHERE})
        tops = self._fill(levels, 1)
        for layer in range(2, MOST_LAYERS + 1):
            tops = self._fill(tops, layer)
        return self._places

    def _fill(self, levels: list[int], layer: int) -> list[int]:
        """Add the places of one layer and return the heights on which the next may rest."""
        tops = set()
        ways = [
            (number, kind.carries, lay)
            for number, kind in enumerate(self._kinds)
            for lay in (kind.lays if kind.count else ())
        ]
        for z, (number, carries, lay) in itertools.product(levels, ways):
            if self._add(number, lay, z, layer) and carries:
                tops.add(z + lay.rise)
        return sorted(tops)

    def _add(self, kind_index: int, lay: Lay, z: int, layer: int) -> bool:
        masks, ruled = [], False
        for width, depth in ((lay.long, lay.broad), (lay.broad, lay.long)):
            mask = self._free(width, depth, z, z + lay.rise)
            if layer == 1:
                carried = mask & self._carried(width, depth, z)
                ruled = ruled or bool((mask != carried).any())
                mask = carried
            masks.append(mask)
        if not (masks[0].any() or masks[1].any()):
            return False
        step = self._room.step
        cells = (-(-lay.long // step), -(-lay.broad // step))
        for zone in zones_of((masks[0], masks[1]), cells, self._room.floor.shape):
            self._places.append(
                Place(
                    *(len(self._places), kind_index, lay, z, layer),
                    *(zone.masks, ruled, zone.cover),
                )
            )
        return True

    def _free(self, width: int, depth: int, low: int, high: int) -> Mask:
        below, above = self._summed("floor", low), self._summed("ceiling", high)
        blocked = self._windows(below, width, depth) + self._windows(above, width, depth)
        free: Mask = blocked == 0
        return free

    def _carried(self, width: int, depth: int, z: int) -> Mask:
        """Return where enough of the footprint, and all cells at its centre, rest on a level."""
        step = self._room.step
        resting = self._windows(self._summed("support", z), width, depth)
        across, along = -(-depth // step), -(-width // step)
        least = math.ceil(self._support * along * across - 1e-9)
        carried: Mask = (resting >= least) & self._centred(width, depth, z, resting.shape)
        return carried

    def _centred(self, width: int, depth: int, z: int, shape: tuple[int, ...]) -> Mask:
        step = self._room.step
        rests = self._room.support == z
        good = np.ones(shape, dtype=np.bool_)
        for along in _centre_cells(width, step):
            for across in _centre_cells(depth, step):
                good &= rests[along : along + shape[0], across : across + shape[1]]
        return good

    def _summed(self, what: str, height: int) -> NDArray[np.int64]:
        if (what, height) not in self._sums:
            room = self._room
            cells: Mask = room.support == height
            if what == "floor":
                cells = room.floor > height
            elif what == "ceiling":
                cells = room.ceiling < height
            table = np.zeros((cells.shape[0] + 1, cells.shape[1] + 1), dtype=np.int64)
            table[1:, 1:] = cells.cumsum(0).cumsum(1)
            self._sums[what, height] = table
        return self._sums[what, height]

    def _windows(self, table: NDArray[np.int64], width: int, depth: int) -> NDArray[np.int64]:
        """Return the sums over every footprint, by the cell of its low corner."""
        along, across = -(-width // self._room.step), -(-depth // self._room.step)
        if along >= table.shape[0] or across >= table.shape[1]:
            return np.zeros((0, 0), dtype=np.int64)
        return (
            table[along:, across:]
            - table[:-along, across:]
            - table[along:, :-across]
            + table[:-along, :-across]
        )


def _centre_cells(length: int, step: int) -> list[int]:
    """Return the cells that touch the middle of a length."""
    doubled = 2 * step
    cells = {length // doubled}
    if length % doubled == 0:
        cells.add(length // doubled - 1)
    return sorted(cells)
