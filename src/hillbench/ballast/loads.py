"""What pieces of each class weigh and how they turn the car, in one column each.

The columns are the counts of the classes of placements, then the mass of the dab of putty in
each class that is putty, mg.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hillbench.ballast.balance import WINDOW_BAND, Balance
from hillbench.ballast.places import Place, Posed
from hillbench.ballast.rectangles import bounds

Column = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Loads:
    """Coefficients of mass and moments.

    Attributes
    ----------
    most
        Greatest value of each column.
    dabs
        Classes of placements that are putty, in the order of their columns.
    mass
        Mass of one, mg; 1 for the dabs.
    height
        Moment of one about the track, mg times hundredths of a mm.
    reach
        Least and most moment of one along and across, by axis and end.
    """

    most: Column
    dabs: tuple[int, ...]
    mass: Column
    height: Column
    reach: tuple[tuple[Column, Column], tuple[Column, Column]]

    def balance_rows(self, balance: Balance) -> list[tuple[Column, int]]:
        """Return rows and limits between which the centre of gravity can be in its window.

        A row times the columns is at most its limit, plus what the car may lie outside.
        """
        found = []
        for axis, limits in enumerate((balance.window, _side_limits(balance.side))):
            if limits is None:
                continue
            least, most = self.reach[axis]
            fixed = balance.fixed_moments[axis]
            found.append((limits[0] * self.mass - most, fixed - limits[0] * balance.fixed_mg))
            found.append((least - limits[1] * self.mass, limits[1] * balance.fixed_mg - fixed))
        return found


def loads_of(problem: Posed) -> Loads:
    """Return the coefficients of all classes."""
    places, room_mg = problem.places, problem.balance.room_mg
    kinds = [problem.kind(place) for place in places]
    dabs = tuple(i for i, kind in enumerate(kinds) if kind.is_putty)
    held = [min(kinds[i].mass_mg, room_mg) for i in dabs]
    hard = np.array([0 if kind.is_putty else kind.mass_mg for kind in kinds], dtype=np.int64)
    unit = np.ones(len(dabs), dtype=np.int64)

    def column(values: list[int]) -> Column:
        whole = 5 * np.array(values, dtype=np.int64)
        return np.concatenate([hard * whole, unit * whole[list(dabs)]])

    spans = [[centres(problem, place, axis) for place in places] for axis in range(2)]
    reach = [[column([span[end] for span in one]) for end in range(2)] for one in spans]
    return Loads(
        most=np.array([kind.count for kind in kinds] + held, dtype=np.int64),
        dabs=dabs,
        mass=np.concatenate([hard, unit]),
        height=column([problem.centre_z(place) for place in places]),
        reach=((reach[0][0], reach[0][1]), (reach[1][0], reach[1][1])),
    )


def band_moment(balance: Balance, short: int) -> int:
    """Return by how much one band outside the window moves a limit of a moment."""
    return WINDOW_BAND * balance.nominal_mg(short)


def _side_limits(side: int | None) -> tuple[int, int] | None:
    return None if side is None else (-side, side)


def centres(problem: Posed, place: Place, axis: int) -> tuple[int, int]:
    """Return the least and most place of a piece's centre, twentieths of a mm."""
    room = problem.room
    start = (room.x_low, room.y_low)[axis]
    ends = []
    edges = ((place.lay.long, place.lay.broad), (place.lay.broad, place.lay.long))
    for mask, edge in zip(place.masks, edges, strict=True):
        if np.any(mask):
            span = bounds(mask)[2 * axis : 2 * axis + 2]
            ends += [2 * (start + room.step * cell) + edge[axis] for cell in (span[0], span[1] - 1)]
    return min(ends), max(ends)
