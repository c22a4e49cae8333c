"""Which unknowns all cars share and which belong to one car, with what tells of each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from hillbench.coasting.result import Floats
from hillbench.fitting.objective import Objective

_IMPOSSIBLE: Final = -1e200


class Parts(Protocol):
    """A log density cut into what is shared and parts that are independent given that."""

    @property
    def shared(self) -> NDArray[np.intp]:
        """Numbers of the coordinates that are shared."""
        ...

    @property
    def cars(self) -> tuple[NDArray[np.intp], ...]:
        """Numbers of the coordinates of each part."""
        ...

    def log_densities(self, points: Floats) -> tuple[Floats, Floats]:
        """Return the log density of what is shared and of each part, shapes (k,) and (k, c)."""
        ...


@dataclass(frozen=True, slots=True)
class Blocks:
    """A log posterior cut into what is shared and one part for each car.

    Attributes
    ----------
    objective
        The log posterior.
    shared
        Numbers of the unknowns that all cars share, shape (s,).
    cars
        Numbers of the unknowns of each car, c arrays.
    members
        1 where a reading is of a car, shape (readings, c).

    Notes
    -----
    Cars tell of each other only through what they share, the hill: given that, their unknowns
    are independent. So a posterior of forty unknowns is no harder than one car's.
    """

    objective: Objective
    shared: NDArray[np.intp]
    cars: tuple[NDArray[np.intp], ...]
    members: Floats

    @classmethod
    def of(cls, objective: Objective) -> Blocks:
        """Return the log posterior cut by car."""
        owners = np.array(objective.predictor.layout.cars)
        names = [name for name in dict.fromkeys(owners.tolist()) if name]
        readings = np.array(objective.reading_cars())
        return cls(
            objective,
            np.flatnonzero(owners == ""),
            tuple(np.flatnonzero(owners == name) for name in names),
            (readings[:, None] == np.array(names)[None, :]).astype(np.float64),
        )

    def log_densities(self, points: Floats) -> tuple[Floats, Floats]:
        """Return the log prior of what is shared, and for each car its prior and readings.

        Shapes (k,) and (k, c); minus infinity for a car that does not get where it was timed.
        """
        coordinates = self.objective.coordinates
        priors = coordinates.log_priors(points)
        dense = self.objective.reading_densities(coordinates.scores(points))
        # A car that stalls spoils no other: a number that cannot be mistaken, not a nan.
        by_car = np.where(np.isfinite(dense), dense, -1e300) @ self.members
        by_car = np.where(by_car > _IMPOSSIBLE, by_car, -np.inf)
        own = np.stack([np.sum(priors[:, part], axis=1) for part in self.cars], axis=1)
        return np.sum(priors[:, self.shared], axis=1), by_car + own
