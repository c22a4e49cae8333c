"""The cars of a meet by their typical times: who is fastest, and how sure that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.pictures import drawing
from hillbench.pictures.drawing import WIDE_PX
from hillbench.pictures.interval_rows import IntervalRow, interval_marks
from hillbench.pictures.scale import figure

LIKELY: Final = 0.05
"""A car with at least this chance may well be the fastest."""

_REACH: Final = 1.6449
_MOST_ROWS: Final = 16


@dataclass(frozen=True, slots=True)
class CarGap:
    """How far one car is behind the fastest one.

    Attributes
    ----------
    words
        What it is called.
    gap_s
        Behind the fastest car, s.
    standard_uncertainty_s
        Of its typical time, s.
    likely
        Whether it may well be the fastest.
    """

    words: str
    gap_s: float
    standard_uncertainty_s: float
    likely: bool


def gaps_picture(
    cars: Sequence[CarGap],
    sentence: str,
    *,
    width_px: int = WIDE_PX,
    key: str = "gaps",
    standalone: bool = False,
) -> str:
    """Return how far each car is behind the fastest, with its 90 % interval, as SVG.

    Parameters
    ----------
    cars
        The fastest first; of many only the first sixteen are drawn.
    sentence
        The result in words, for those who do not see the picture.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    standalone
        Whether it is to be a file of its own.
    """
    rows = [
        IntervalRow(
            one.words,
            one.gap_s - _REACH * one.standard_uncertainty_s,
            one.gap_s,
            one.gap_s + _REACH * one.standard_uncertainty_s,
            "fill-accent" if one.likely else "fill-muted",
            f"{'+' if one.gap_s > 0 else ''}{figure(one.gap_s, 3)} s",
        )
        for one in cars[:_MOST_ROWS]
    ]
    title = "Typical time behind the fastest car, s, with 90 % interval"
    marks, height = interval_marks(rows, title, width_px)
    name = "How far the cars are apart"
    return drawing.picture(key, name, sentence, (width_px, height), marks, standalone=standalone)
