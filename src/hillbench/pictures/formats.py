"""Formats of a meet side by side: who wins, how well all are ranked, what it takes."""

from __future__ import annotations

from collections.abc import Sequence

from hillbench.pictures import drawing
from hillbench.pictures.drawing import WIDE_PX
from hillbench.pictures.interval_rows import IntervalRow, interval_marks
from hillbench.racing.study import FormatFigures


def wins_picture(
    figures: Sequence[FormatFigures],
    sentence: str,
    *,
    width_px: int = WIDE_PX,
    key: str = "formats-wins",
    standalone: bool = False,
) -> str:
    """Return how often the fastest car wins with each format, as SVG.

    Parameters
    ----------
    figures
        The formats, from the top.
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
            f"{one.format} ({one.minutes:.0f} min)",
            0.0,
            100.0 * one.fastest_wins,
            100.0 * one.fastest_wins,
            "fill-accent" if one.needs_timer else "fill-muted",
            f"{100 * one.fastest_wins:.0f} %",
        )
        for one in figures
    ]
    marks, height = interval_marks(rows, "The fastest car wins, %", width_px)
    title = "How often the fastest car wins"
    return drawing.picture(key, title, sentence, (width_px, height), marks, standalone=standalone)


def rank_error_picture(
    figures: Sequence[FormatFigures],
    sentence: str,
    *,
    width_px: int = WIDE_PX,
    key: str = "formats-errors",
    standalone: bool = False,
) -> str:
    """Return how far cars end from their true places with each format, as SVG.

    Parameters
    ----------
    figures, sentence, width_px, key, standalone
        As in `wins_picture`.
    """
    rows = [
        IntervalRow(
            f"{one.format} ({one.car_runs:.0f} car runs)",
            0.0,
            one.mean_rank_error,
            one.mean_rank_error,
            "fill-accent" if one.needs_timer else "fill-muted",
            f"{one.mean_rank_error:.1f}",
        )
        for one in figures
    ]
    marks, height = interval_marks(rows, "Places from the true one, on average", width_px)
    title = "How far cars end from their true places"
    return drawing.picture(key, title, sentence, (width_px, height), marks, standalone=standalone)
