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
    short
        Bands short of the target, exactly.
    outside
        Most bands outside the window.
    high
        Most bands of height.
    """

    short: int | None = None
    outside: int | None = None
    high: int | None = None

    def after(self, level: Level, value: int) -> Settled:
        """Return the bounds after one more level has come to its best value."""
        if level is Level.MASS:
            return replace(self, short=value)
        if level is Level.WINDOW:
            return replace(self, outside=value)
        return replace(self, high=value + PIECES_BANDS)

    def admits(self, score: Score) -> bool:
        """Return whether a layout keeps to the bounds."""
        return (
            (self.short is None or score.short == self.short)
            and (self.outside is None or score.outside <= self.outside)
            and (self.high is None or score.high <= self.high)
        )


def value_of(score: Score, level: Level) -> int:
    """Return the value of one level."""
    return (score.short, score.outside, score.high, score.pieces)[level]
