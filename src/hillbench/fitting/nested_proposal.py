"""Where nested draws come from: what is shared first, then each car given that."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.coasting.result import Floats
from hillbench.fitting.blocks import Parts
from hillbench.fitting.mode import Mode
from hillbench.fitting.posterior import StudentT

_ADAPTED: Final = 0.9
_STEADY: Final = 1e-6


@dataclass(frozen=True, slots=True)
class CarProposal:
    """Draws of the unknowns of one car, given those that are shared.

    Attributes
    ----------
    centre
        Their middle at the middle of what is shared, shape (b,).
    slopes
        How it moves with what is shared, shape (b, s).
    scatter
        The draws about that middle.
    """

    centre: Floats
    slopes: Floats
    scatter: StudentT

    def draw(self, away: Floats, rng: np.random.Generator) -> tuple[Floats, Floats]:
        """Return one draw for each row of what is shared less its middle, and its log density."""
        drawn = self.scatter.draw(len(away), rng)
        return self.centre + away @ self.slopes.T + drawn, self.scatter.log_density(drawn)

    def refitted(self, away: Floats, points: Floats, weights: Floats, moved: Floats) -> CarProposal:
        """Return the proposal fitted to weighted draws by regression on what is shared.

        Few effective draws tell little about a shape: the earlier one stays in part. `moved`
        is the new middle of what is shared less the old one.
        """
        telling = weights > 1e-9 * np.max(weights)
        weights, away, points = weights[telling], away[telling], points[telling]
        weights = weights / np.sum(weights)
        middle, mean = weights @ away, weights @ points
        off, off_shared = points - mean, away - middle
        square = (off_shared.T * weights) @ off_shared
        square += _STEADY * np.eye(len(square))
        slopes = np.linalg.solve(square, (off_shared.T * weights) @ off).T
        rest = off - off_shared @ slopes.T
        effective = 1.0 / float(np.sum(weights**2))
        share = _ADAPTED * effective / (effective + 4.0 * len(mean) + 2.0 * len(middle))
        scale = share * (rest.T * weights) @ rest
        scale += (1.0 - share) * self.scatter.root @ self.scatter.root.T
        slopes = share * slopes + (1.0 - share) * self.slopes
        there = mean + (moved - middle) @ slopes.T
        centre = share * there + (1.0 - share) * (self.centre + moved @ self.slopes.T)
        zero = np.zeros_like(centre)
        return CarProposal(centre, slopes, StudentT.about(zero, scale, self.scatter.freedom))


@dataclass(frozen=True, slots=True)
class NestedProposal:
    """Where nested draws come from.

    Attributes
    ----------
    shared
        Draws of what is shared.
    cars
        Draws of each car given that.
    """

    shared: StudentT
    cars: tuple[CarProposal, ...]

    @classmethod
    def about(cls, parts: Parts, mode: Mode) -> NestedProposal:
        """Return the proposal that the normal distribution at a mode gives.

        Notes
        -----
        Of a normal distribution with precision P the part of a car given what is shared has
        precision P_cc and middle -P_cc⁻¹ P_cs times what is shared.
        """
        precision, centre = mode.precision, mode.scores
        covariance = mode.covariance()
        shared = parts.shared
        cars = []
        for part in parts.cars:
            own = np.asarray(np.linalg.inv(precision[np.ix_(part, part)]), dtype=np.float64)
            slopes = -own @ precision[np.ix_(part, shared)]
            cars.append(CarProposal(centre[part], slopes, StudentT.about(np.zeros(len(part)), own)))
        return cls(StudentT.about(centre[shared], covariance[np.ix_(shared, shared)]), tuple(cars))

    def refitted(
        self,
        parts: Parts,
        points: Floats,
        weights: Floats,
        by_car: Floats | None = None,
        repeats: int = 1,
    ) -> NestedProposal:
        """Return the proposal fitted to weighted draws.

        Parameters
        ----------
        parts
            What is shared, and what belongs to each car.
        points
            The draws, shape (k, n).
        weights
            Those of what is shared, shape (k,).
        by_car
            Those of each car, where they differ, shape (k, c).
        repeats
            How often each draw of what is shared stands among them.
        """
        weights = weights / np.sum(weights)
        shared = points[:, parts.shared]
        mean = weights @ shared
        off = shared - mean
        effective = 1.0 / float(np.sum(weights**2)) / repeats
        share = _ADAPTED * effective / (effective + 2.0 * len(mean))
        scale = share * (off.T * weights) @ off
        scale += (1.0 - share) * self.shared.root @ self.shared.root.T
        centre = share * mean + (1.0 - share) * self.shared.centre
        away, moved = shared - self.shared.centre, centre - self.shared.centre
        return NestedProposal(
            StudentT.about(centre, scale, self.shared.freedom),
            tuple(
                car.refitted(
                    away, points[:, part], weights if by_car is None else by_car[:, number], moved
                )
                for number, (part, car) in enumerate(zip(parts.cars, self.cars, strict=True))
            ),
        )
