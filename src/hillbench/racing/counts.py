"""What a schedule of heats is judged by: lanes, meetings, cars that run twice running."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

Heat = tuple[int, ...]
"""Car numbers by lane, 0 for an empty lane."""

EMPTY: Final = 0


@dataclass(frozen=True, slots=True)
class PairMeetings:
    """How evenly the pairs of cars meet.

    Attributes
    ----------
    least, most
        Least and most meetings of any pair.
    bound_least, bound_most
        The mean of the meetings rounded down and up: no schedule has a higher least or a
        lower most.
    """

    least: int
    most: int
    bound_least: int
    bound_most: int

    @property
    def at_bound(self) -> bool:
        """Whether the meetings are as even as can be."""
        return (self.least, self.most) == (self.bound_least, self.bound_most)


def count_lanes(heats: Sequence[Heat], cars: int, lanes: int) -> npt.NDArray[np.int64]:
    """Return how often each car (row) runs on each lane (column)."""
    counts = np.zeros((cars, lanes), dtype=np.int64)
    for heat in heats:
        for lane, car in enumerate(heat):
            if car != EMPTY:
                counts[car - 1, lane] += 1
    return counts


def count_presence(heats: Sequence[Heat], cars: int) -> npt.NDArray[np.int64]:
    """Return whether each car (column) is in each heat (row), as 1 and 0."""
    present = np.zeros((len(heats), cars + 1), dtype=np.int64)
    for place, heat in enumerate(heats):
        present[place, list(heat)] = 1
    return present[:, 1:]


def count_meetings(heats: Sequence[Heat], cars: int) -> npt.NDArray[np.int64]:
    """Return how often each two cars meet; the diagonal is 0."""
    present = count_presence(heats, cars)
    meetings = present.T @ present
    np.fill_diagonal(meetings, 0)
    return meetings


def count_back_to_back(heats: Sequence[Heat], cars: int) -> int:
    """Return how often a car runs in two heats running."""
    present = count_presence(heats, cars)
    return int((present[1:] * present[:-1]).sum())


def meetings_of(heats: Sequence[Heat], cars: int) -> PairMeetings:
    """Return how evenly the pairs of cars meet; all zero where there is no pair."""
    if cars < 2:
        return PairMeetings(0, 0, 0, 0)
    pairs = count_meetings(heats, cars)[np.triu_indices(cars, 1)]
    floor, rest = divmod(int(pairs.sum()), len(pairs))
    return PairMeetings(int(pairs.min()), int(pairs.max()), floor, floor + (rest > 0))


def least_squares_of_meetings(total: int, pairs: int) -> int:
    """Return the least sum of squares of `pairs` whole numbers with the sum `total`."""
    floor, rest = divmod(total, pairs)
    return rest * (floor + 1) ** 2 + (pairs - rest) * floor**2
