"""Ellipses through points, and the way along them until one is good enough."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hillbench.coasting.result import Floats
from hillbench.fitting.posterior import StudentT

_MOST_SHRINKS: Final = 60


@dataclass(frozen=True, slots=True)
class Ellipse:
    """An ellipse through each of some offsets, about the centre of a distribution.

    Attributes
    ----------
    about
        The distribution, moved to 0.
    offset, side
        The two axes of each ellipse, shape (k, n).
    """

    about: StudentT
    offset: Floats
    side: Floats

    @classmethod
    def of(cls, about: StudentT, offset: Floats, rng: np.random.Generator) -> Ellipse:
        """Return ellipses through offsets from the centre.

        Given a point, the t is a normal distribution whose variance has an inverse gamma law.
        """
        middle = dataclasses.replace(about, centre=np.zeros_like(about.centre))
        count, n = offset.shape
        beta = 0.5 * (about.freedom + middle.distance_2(offset))
        variance: Floats = beta / rng.gamma(0.5 * (n + about.freedom), size=count)
        side = (rng.standard_normal((count, n)) @ about.root.T) * np.sqrt(variance)[:, None]
        return cls(middle, offset, np.asarray(side, dtype=np.float64))

    def log_density(self) -> Floats:
        """Return the log density at the offsets."""
        return self.about.log_density(self.offset)

    def turned(self, at: NDArray[np.intp], angle_rad: Floats) -> Floats:
        """Return the points of some ellipses at some angles."""
        cosine, sine = np.cos(angle_rad)[:, None], np.sin(angle_rad)[:, None]
        turned: Floats = self.offset[at] * cosine + self.side[at] * sine
        return turned


class Turns:
    """The angle of each chain on its ellipse, and the chains that have not found a place yet."""

    def __init__(self, level: Floats, rng: np.random.Generator) -> None:
        self._level = level
        self._rng = rng
        self.angle_rad: Floats = np.asarray(rng.uniform(0.0, 2.0 * math.pi, len(level)))
        self._low, self._high = self.angle_rad - 2.0 * math.pi, self.angle_rad.copy()
        self.active = np.arange(len(level))
        self._shrinks = 0

    def narrow(self, value: Floats) -> NDArray[np.bool_]:
        """Return which active chains found a place; narrow the bracket of the others."""
        good: NDArray[np.bool_] = value > self._level[self.active]
        self.active = self.active[~good]
        self._shrinks += 1
        if self._shrinks >= _MOST_SHRINKS:  # they stay where they are
            self.active = self.active[:0]
        angle = self.angle_rad[self.active]
        behind = angle < 0.0
        self._low[self.active[behind]] = angle[behind]
        self._high[self.active[~behind]] = angle[~behind]
        low, high = self._low[self.active], self._high[self.active]
        self.angle_rad[self.active] = self._rng.uniform(low, high)
        return good
