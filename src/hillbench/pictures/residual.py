"""How measured times differ from computed ones, group by group."""

from __future__ import annotations

from collections.abc import Sequence

from hillbench.fitting.misfit import Residual
from hillbench.fitting.unknown import NINETY_PERCENT
from hillbench.pictures import drawing
from hillbench.pictures.drawing import WIDE_PX
from hillbench.pictures.interval_rows import IntervalRow, interval_marks
from hillbench.pictures.scale import figure


def residual_picture(
    residuals: Sequence[Residual],
    *,
    width_px: int = WIDE_PX,
    key: str = "residual",
    standalone: bool = False,
) -> str:
    """Return measured less computed times with their 90 % intervals, as SVG.

    Parameters
    ----------
    residuals
        Groups of times, in the order shown.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    standalone
        Whether it is to be a file of its own.
    """
    rows = [_row(residual) for residual in residuals]
    marks, height = interval_marks(rows, "Measured less computed, s", width_px)
    title = "Where computed and measured times differ"
    sentence = residual_sentence(residuals)
    return drawing.picture(key, title, sentence, (width_px, height), marks, standalone=standalone)


def residual_sentence(residuals: Sequence[Residual]) -> str:
    """Return which groups do not fit, in words."""
    off = [residual for residual in residuals if residual.is_sure]
    if not residuals:
        return "No times were measured."
    if not off:
        return "All computed times agree with the measured ones."
    parts = [
        f"{one.group} {figure(abs(one.mean_s), 3)} s {'slower' if one.mean_s > 0 else 'faster'}"
        for one in off
    ]
    return f"Not as computed: {'; '.join(parts)}."


def _row(residual: Residual) -> IntervalRow:
    half = NINETY_PERCENT * residual.error_s
    return IntervalRow(
        f"{residual.group} ({residual.count})",
        residual.mean_s - half,
        residual.mean_s,
        residual.mean_s + half,
        "warning" if residual.is_sure else "fill-muted",
        f"{figure(residual.mean_s, 3)} s",
    )
