"""Sizes of paper, in mm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from hillbench.errors import InvalidInput, Problem

MM_PER_INCH: Final = 25.4
"""Exact, by the international agreement of 1959."""

POINTS_PER_INCH: Final = 72.0
"""The unit of PDF (ISO 32000-1, 8.3.2.3)."""

POINTS_PER_MM: Final = POINTS_PER_INCH / MM_PER_INCH

LARGEST_MM: Final = 5000.0
"""PDF readers agree on pages up to 14400 points (ISO 32000-1, annex C.2)."""


@dataclass(frozen=True, slots=True)
class PageSize:
    """A sheet of paper.

    Attributes
    ----------
    name
        As it is called in the trade.
    width_mm, height_mm
        Its edges, mm.
    """

    name: str
    width_mm: float
    height_mm: float

    def __post_init__(self) -> None:
        for side_mm in (self.width_mm, self.height_mm):
            if not 0.0 < side_mm <= LARGEST_MM:
                allowed = f"each side above 0 and up to {LARGEST_MM:g} mm"
                raise InvalidInput([Problem("page", f"{side_mm:g} mm", allowed)])

    def turned(self) -> PageSize:
        """Return the same paper lying on its other side."""
        return PageSize(self.name, self.height_mm, self.width_mm)


A4: Final = PageSize("A4", 210.0, 297.0)
"""ISO 216."""

LETTER: Final = PageSize("Letter", 8.5 * MM_PER_INCH, 11.0 * MM_PER_INCH)
"""ANSI/ASME Y14.1, size A."""

PAGE_SIZES: Final[Mapping[str, PageSize]] = {"A4": A4, "Letter": LETTER}
"""What most printers hold, by name."""


def find_page_size(name: str) -> PageSize:
    """Return a usual paper by its name; raises `InvalidInput` for one that is not known."""
    for known, size in PAGE_SIZES.items():
        if known.casefold() == name.strip().casefold():
            return size
    raise InvalidInput([Problem("paper", repr(name), "one of: " + ", ".join(PAGE_SIZES))])
