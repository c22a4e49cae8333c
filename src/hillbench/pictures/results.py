"""The cars of a meet by what their times say, each with its interval."""

from __future__ import annotations

from collections.abc import Sequence

from hillbench.pictures import drawing
from hillbench.pictures.drawing import WIDE_PX
from hillbench.pictures.interval_rows import IntervalRow, interval_marks

Gap = tuple[str, float, float, float]
"""Name of a car, and low, middle and high of its gap to the mean of all, s."""


def gaps_picture(
    gaps: Sequence[Gap],
    sentence: str,
    *,
    width_px: int = WIDE_PX,
    key: str = "meet-gaps",
    standalone: bool = False,
) -> str:
    """Return the cars of a meet, each with its gap to the mean of all, as SVG.

    Parameters
    ----------
    gaps
        The cars, from the top.
    sentence
        The main finding, for those who do not see the picture.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    standalone
        Whether it is to be a file of its own.
    """
    rows = [
        IntervalRow(
            name,
            low,
            middle,
            high,
            "fill-accent" if low < 0.0 and high < 0.0 else "fill-muted",
            f"{middle:+.3f} s".replace("-", "−"),
        )
        for name, low, middle, high in gaps
    ]
    title = "Slower than the mean of all cars, s, with 90 % interval"
    marks, height = interval_marks(rows, title, width_px)
    name = "The cars by their times"
    return drawing.picture(key, name, sentence, (width_px, height), marks, standalone=standalone)
