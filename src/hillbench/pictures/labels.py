"""Room for words: how wide they are, and rows in which they do not touch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

_NARROW: Final = frozenset("iljftr.,:;'|!()[] ·/")
_BROAD: Final = frozenset("mwMWQO@%—")


def text_width_px(text: str, size_px: float = 13.0) -> float:
    """Return about how wide words are, in px, erring on the wide side."""
    ems = sum(0.36 if c in _NARROW else 0.95 if c in _BROAD else 0.64 for c in text)
    return ems * size_px


def wrapped(text: str, width_px: float, size_px: float) -> list[str]:
    """Return words in lines of at most a width; a longer single word keeps its own line."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width_px(longer, size_px) <= width_px:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


@dataclass(frozen=True, slots=True)
class Placed:
    """Words given a row.

    Attributes
    ----------
    index
        Which of the words they are, in the order asked.
    row
        Row from the top, 0 first.
    centre_px
        Middle of the words across the page.
    """

    index: int
    row: int
    centre_px: float


def stack_in_rows(
    centres_px: Sequence[float],
    widths_px: Sequence[float],
    span_px: tuple[float, float],
    gap_px: float = 6.0,
) -> list[Placed]:
    """Give words their rows: each in the first row where it touches no other.

    Parameters
    ----------
    centres_px
        Where each would like its middle, in any order.
    widths_px
        How wide each is.
    span_px
        Left and right end of the rows; words are moved inside.
    gap_px
        Least distance between neighbours in a row.
    """
    ends: list[float] = []
    placed = []
    for index in sorted(range(len(centres_px)), key=lambda i: centres_px[i]):
        half = widths_px[index] / 2.0
        centre = max(span_px[0] + half, min(span_px[1] - half, centres_px[index]))
        free = (row for row, end in enumerate(ends) if end + gap_px <= centre - half)
        row = next(free, len(ends))
        if row == len(ends):
            ends.append(0.0)
        ends[row] = centre + half
        placed.append(Placed(index, row, centre))
    return placed


def without_overlap(
    centres_px: Sequence[float], widths_px: Sequence[float], gap_px: float = 8.0
) -> list[int]:
    """Return which words keep their place when the first named win over later ones."""
    kept: list[int] = []
    for index, (centre, width) in enumerate(zip(centres_px, widths_px, strict=True)):
        if all(
            abs(centre - centres_px[other]) >= (width + widths_px[other]) / 2.0 + gap_px
            for other in kept
        ):
            kept.append(index)
    return kept
