"""What each change would gain, with its interval, best first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from hillbench.fitting.advice import Advice, Verdict
from hillbench.pictures import drawing
from hillbench.pictures.drawing import WIDE_PX
from hillbench.pictures.interval_rows import IntervalRow, interval_marks
from hillbench.pictures.scale import figure

_STYLES: Final[Mapping[Verdict, str]] = {
    Verdict.WORTH_IT: "fill-accent",
    Verdict.PROBABLY: "fill-accent",
    Verdict.SLOWER: "warning",
}


def advice_picture(
    advice: Sequence[Advice],
    *,
    width_px: int = WIDE_PX,
    key: str = "advice",
    standalone: bool = False,
) -> str:
    """Return the gain of each change with its 90 % interval, as SVG.

    Parameters
    ----------
    advice
        Changes, best first; those without a forecast are left out.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    standalone
        Whether it is to be a file of its own.
    """
    rows = [row for row in map(_row, advice) if row is not None]
    marks, height = interval_marks(rows, "Time gained, s, with 90 % interval", width_px)
    title = "What each change would gain"
    sentence = advice_sentence(advice)
    return drawing.picture(key, title, sentence, (width_px, height), marks, standalone=standalone)


def advice_sentence(advice: Sequence[Advice]) -> str:
    """Return the verdict on each change, in words."""
    if not advice:
        return "No change was judged."
    return " ".join(f"{one.forecast.change.name}: {one.verdict}." for one in advice)


def _row(advice: Advice) -> IntervalRow | None:
    forecast = advice.forecast
    low, middle, high = forecast.gain_low_s, forecast.gain_s, forecast.gain_high_s
    if low is None or middle is None or high is None:
        return None
    return IntervalRow(
        f"{forecast.change.name}: {advice.verdict}",
        low,
        middle,
        high,
        _STYLES.get(advice.verdict, "fill-muted"),
        f"{'+' if middle > 0 else ''}{figure(middle, 3)} s",
    )
