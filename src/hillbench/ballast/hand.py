"""Lay pieces one by one, as a builder would: each as low as it goes and near the balance."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from hillbench.ballast.layout import Laid
from hillbench.ballast.places import Mask, Place, Posed


class Hand:
    """Pieces laid so far and where the next one goes.

    Parameters
    ----------
    problem
        What is allowed.
    tidy
        Whether to lay each piece against something on two sides: more goes in.

    Attributes
    ----------
    laid
        The pieces, each after the one that carries it.
    spare_mg
        Mass that may still be added.
    """

    def __init__(self, problem: Posed, *, tidy: bool) -> None:
        self._problem = problem
        self._tidy = tidy
        self.laid: list[Laid] = []
        self.spare_mg = problem.balance.room_mg
        self._moments = list(problem.balance.fixed_moments[:2])
        self._failed: dict[int, int] = {}
        self._bases: set[tuple[int, int]] = set()
        self._places: dict[int, list[Place]] = {}
        for place in sorted(problem.places, key=problem.centre_z):
            self._places.setdefault(place.kind_index, []).append(place)

    def lay(self, kind_index: int) -> bool:
        """Lay one piece of a kind as low as it goes, if it does and the limit allows it."""
        if self._failed.get(kind_index) == len(self.laid):
            return False
        self._failed[kind_index] = len(self.laid)
        kind = self._problem.kinds[kind_index]
        mass_mg = min(kind.mass_mg, self.spare_mg) if kind.is_putty else kind.mass_mg
        if not 0 < mass_mg <= self.spare_mg:
            return False
        best: tuple[int, float, Laid] | None = None
        for place in self._places.get(kind_index, []):
            if place.layer > 1 and (place.layer, place.z) not in self._bases:
                continue
            height = self._problem.centre_z(place)
            if best is not None and height > best[0]:
                break
            for turned in (False, True):
                found = self._lowest_cost(place, turned, mass_mg)
                if found is not None and (best is None or found[0] < best[1]):
                    best = (height, *found)
        if best is None:
            return False
        self._take(best[2])
        return True

    def _lowest_cost(self, place: Place, turned: bool, mass_mg: int) -> tuple[float, Laid] | None:
        free = self._free(place, turned)
        if not free.any():
            return None
        lay = place.lay
        edges = (lay.broad, lay.long) if turned else (lay.long, lay.broad)
        where = _flush(free) if self._tidy else free
        cost = np.where(where, self._imbalance(free.shape, edges, mass_mg), np.inf)
        along, across = np.unravel_index(int(np.argmin(cost)), cost.shape)
        corner = (int(along), int(across))
        parent = -1 if place.layer == 1 else self._parent(place, edges, corner)
        return float(cost[corner]), Laid(place, turned, *corner, parent, mass_mg)

    def _free(self, place: Place, turned: bool) -> Mask:
        """Return the corners at which a piece touches no other and has something below it."""
        lay, cells = place.lay, self._problem.cells
        edges = (lay.broad, lay.long) if turned else (lay.long, lay.broad)
        size = (cells(edges[0]), cells(edges[1]))
        free = place.masks[turned].copy()
        if place.layer > 1:
            carried = np.zeros_like(free)
            for below in self._carriers(place):
                span = self._span(below, edges)
                carried[span[0] : span[1], span[2] : span[3]] = True
            free &= carried
        for other in self.laid:
            if other.place.z < place.top and place.z < other.place.top:
                taken = (cells(other.extent[0]), cells(other.extent[1]))
                rows = slice(max(other.along - size[0] + 1, 0), other.along + taken[0])
                columns = slice(max(other.across - size[1] + 1, 0), other.across + taken[1])
                free[rows, columns] = False
        return free

    def _carriers(self, place: Place) -> list[Laid]:
        kind = self._problem.kind
        return [
            one
            for one in self.laid
            if one.place.layer == place.layer - 1
            and one.place.top == place.z
            and kind(one.place).carries
        ]

    def _span(self, below: Laid, edges: tuple[int, int]) -> tuple[int, int, int, int]:
        """Return the corners from which a piece hangs over its carrier no more than allowed."""
        step, span = self._problem.room.step, []
        for base, carrier, edge in zip(
            (below.along, below.across), below.extent, edges, strict=True
        ):
            hang = self._problem.hang(edge)
            low = base - hang // step
            high = (step * base + carrier + hang - edge) // step
            span += [max(low, 0), max(high + 1, 0)]
        return span[0], span[1], span[2], span[3]

    def _parent(self, place: Place, edges: tuple[int, int], corner: tuple[int, int]) -> int:
        for below in self._carriers(place):
            low_x, high_x, low_y, high_y = self._span(below, edges)
            if low_x <= corner[0] < high_x and low_y <= corner[1] < high_y:
                return self.laid.index(below)
        raise AssertionError(corner)

    def _imbalance(
        self, shape: tuple[int, ...], edges: tuple[int, int], mass_mg: int
    ) -> NDArray[np.float64]:
        """Return how far each corner would leave the car from its balance, in hundredths of mm."""
        balance, room = self._problem.balance, self._problem.room
        whole = balance.target_mg - self.spare_mg + mass_mg
        middles = ((balance.window[0] + balance.window[1]) / 2, 0.0)
        off = []
        for axis, start in enumerate((room.x_low, room.y_low)):
            centre = 2 * (start + room.step * np.arange(shape[axis])) + edges[axis]
            off.append(np.abs((self._moments[axis] + 5 * mass_mg * centre) / whole - middles[axis]))
        cost: NDArray[np.float64] = off[0][:, None] + off[1][None, :]
        return cost

    def _take(self, piece: Laid) -> None:
        room = self._problem.room
        self.laid.append(piece)
        if self._problem.kind(piece.place).carries:
            self._bases.add((piece.place.layer + 1, piece.place.top))
        self.spare_mg -= piece.mass_mg
        corner = (room.x_low + room.step * piece.along, room.y_low + room.step * piece.across)
        for axis in range(2):
            centre = 2 * corner[axis] + piece.extent[axis]
            self._moments[axis] += 5 * piece.mass_mg * centre


def _flush(free: Mask) -> Mask:
    """Return the free corners from which a piece cannot move on, along as well as across."""
    padded = np.pad(free, 1)
    along = ~(padded[:-2, 1:-1] & padded[2:, 1:-1])
    across = ~(padded[1:-1, :-2] & padded[1:-1, 2:])
    flush: Mask = free & along & across
    return flush
