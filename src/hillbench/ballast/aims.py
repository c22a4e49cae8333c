"""The levels of a plan, in order, and what is settled of them so far."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import IntEnum

from hillbench.ballast.balance import PIECES_BANDS, Score


class Level(IntEnum):
    """What is made least, in this order."""

    MASS = 0
    WINDOW = 1
    HEIGHT = 2
    PIECES = 3


@dataclass(frozen=True, slots=True)
class Settled:
    """Bounds that earlier levels left; None where a level is still open.

    Attributes
    ----------
    mass
        The mass band, exactly.
    window
        Most bands outside the window.
    height
        Most bands of height.
    """

    mass: int | None = None
    window: int | None = None
    height: int | None = None

    def after(self, level: Level, value: int) -> Settled:
        """Return the bounds after one more level has come to its best value."""
        if level is Level.MASS:
            return replace(self, mass=value)
        if level is Level.WINDOW:
            return replace(self, window=value)
        return replace(self, height=value + PIECES_BANDS)

    def admits(self, score: Score) -> bool:
        """Return whether a layout keeps to the bounds."""
        return (
            (self.mass is None or score.mass == self.mass)
            and (self.window is None or score.window <= self.window)
            and (self.height is None or score.height <= self.height)
        )


def value_of(score: Score, level: Level) -> int:
    """Return the value of one level."""
    return (score.mass, score.window, score.height, score.pieces)[level]
