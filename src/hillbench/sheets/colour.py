"""Colours of a sheet: sRGB, or a spot colour that a cutter or printer takes by its name."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from hillbench.errors import InvalidInput, Problem

_HEX: Final = re.compile(r"#[0-9a-fA-F]{6}")


@dataclass(frozen=True, slots=True)
class Rgb:
    """A colour in sRGB (IEC 61966-2-1).

    Attributes
    ----------
    red, green, blue
        0 to 1, as encoded (not linear).
    """

    red: float
    green: float
    blue: float

    def __post_init__(self) -> None:
        if not all(0.0 <= part <= 1.0 for part in (self.red, self.green, self.blue)):
            seen = f"{self.red:g}, {self.green:g}, {self.blue:g}"
            raise InvalidInput([Problem("colour", seen, "three parts from 0 to 1")])

    @classmethod
    def parse(cls, text: str) -> Rgb:
        """Return a colour written as ``#rrggbb``; raises `InvalidInput` for anything else."""
        if not _HEX.fullmatch(text):
            raise InvalidInput([Problem("colour", repr(text), "#rrggbb, such as #0f6a5b")])
        red, green, blue = (part / 255.0 for part in bytes.fromhex(text[1:]))
        return cls(red, green, blue)

    def code(self) -> str:
        """Return the colour as ``#rrggbb``."""
        return "#" + "".join(f"{round(p * 255.0):02x}" for p in (self.red, self.green, self.blue))


@dataclass(frozen=True, slots=True)
class Spot:
    """An ink or a tool that the printer knows by name: a knife, white.

    Attributes
    ----------
    name
        As the machine expects it.
    shown
        How it looks on screen and on a printer that does not know it.
    """

    name: str
    shown: Rgb


Colour = Rgb | Spot
"""What a mark is drawn in."""

BLACK: Final = Rgb(0.0, 0.0, 0.0)
WHITE: Final = Rgb(1.0, 1.0, 1.0)

CUT: Final = Spot("CutContour", Rgb(1.0, 0.0, 1.0))
"""Lines for a knife; the name most cutters look for (common practice, no source)."""

WHITE_INK: Final = Spot("White", Rgb(0.82, 0.82, 0.82))
"""White below the colours, for printers that have it; shown grey, to be seen on paper."""


def shown(colour: Colour) -> Rgb:
    """Return a colour as it looks on screen."""
    return colour.shown if isinstance(colour, Spot) else colour
