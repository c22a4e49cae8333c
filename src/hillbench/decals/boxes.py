"""Boxes on sheets: the words that every way of nesting shares."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Box:
    """A box to be laid, in whole hundredths of a millimetre, its gap included.

    Attributes
    ----------
    across, down
        Size as it stands.
    turnable
        Whether it may be laid on its side.
    """

    across: int
    down: int
    turnable: bool = True

    def stances(self) -> tuple[tuple[int, int, bool], ...]:
        """Return its sizes across and down, and whether it is turned for that."""
        if self.turnable and self.across != self.down:
            return (self.across, self.down, False), (self.down, self.across, True)
        return ((self.across, self.down, False),)


@dataclass(frozen=True, slots=True)
class Laid:
    """Where a box lies.

    Attributes
    ----------
    sheet
        Number of the sheet, from 0.
    x, y
        Upper left corner on it.
    turned
        Whether it is turned by a quarter.
    """

    sheet: int
    x: int
    y: int
    turned: bool


@dataclass(frozen=True, slots=True)
class Room:
    """The usable part of one sheet, its gap included.

    Attributes
    ----------
    across, down
        Its size.
    """

    across: int
    down: int

    def holds(self, box: Box) -> bool:
        """Return whether a box fits on an empty sheet."""
        return any(w <= self.across and h <= self.down for w, h, _ in box.stances())
