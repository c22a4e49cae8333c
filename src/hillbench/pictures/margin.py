"""How close each bend and crest comes to its limit: speed as a bar against the limit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from hillbench.coasting.result import Margin, MarginKind
from hillbench.pictures import drawing
from hillbench.pictures.drawing import WIDE_PX
from hillbench.pictures.length_unit import METRE, LengthUnit
from hillbench.pictures.scale import NO_BREAK, Scale, figure

MARGIN_WORDS: Final = {
    MarginKind.TIP: "tips over",
    MarginKind.WHEEL_CLIMB: "a wheel climbs",
    MarginKind.WALL: "leans on the wall",
    MarginKind.LIFT_OFF: "wheels lift off",
}
"""What happens at each limit, as it is called on pages."""

_EVENTS: Final = {
    MarginKind.TIP: "the car tips over",
    MarginKind.WHEEL_CLIMB: "a wheel climbs the wall",
    MarginKind.WALL: "the car begins to lean on the wall",
    MarginKind.LIFT_OFF: "the wheels lift off",
}

_MOST_ROWS: Final = 10
_ONE_PLACE_M: Final = 0.3
"""Limits closer together than this stand at one bend or crest."""

_ROW_PX: Final = 40.0
_FULL: Final = 1.3
"""Share of the limit at the right end of the bars."""


def telling_margins(margins: Sequence[Margin]) -> list[Margin]:
    """Return the margins worth a bar in order of place: the tightest limit at each.

    Leaning on the wall is left out: in a flat bend a car does that at any speed.
    """
    limits = [
        margin
        for margin in margins
        if margin.kind is not MarginKind.WALL and 0.0 < margin.limit_m_s < math.inf
    ]
    closest: list[Margin] = []
    for margin in sorted(limits, key=lambda margin: -_share(margin)):
        if all(abs(margin.at_m - other.at_m) > _ONE_PLACE_M for other in closest):
            closest.append(margin)
    return sorted(closest[:_MOST_ROWS], key=lambda margin: margin.at_m)


def margin_picture(
    margins: Sequence[Margin],
    *,
    width_px: int = WIDE_PX,
    key: str = "margin",
    unit: LengthUnit = METRE,
    standalone: bool = False,
) -> str:
    """Return speed against limit at each bend and crest, as SVG.

    Parameters
    ----------
    margins
        Margins of a run; those that tell most are shown.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    unit
        Unit of lengths along the track.
    standalone
        Whether it is to be a file of its own.
    """
    shown = telling_margins(margins)
    x = Scale(0.0, _FULL, 4.0, width_px - 8.0)
    height = 30.0 + max(len(shown), 1) * _ROW_PX
    marks: list[drawing.Mark] = []
    if shown:
        limit = x(1.0)
        marks.append(drawing.words(limit, 15.0, "limit", "words-strong", anchor="middle"))
        marks.append(drawing.line((limit, 21.0), (limit, height - 6.0), "limit"))
    else:
        marks.append(drawing.words(4.0, 30.0, "No bend or crest of this track sets a limit."))
    for index, margin in enumerate(shown):
        marks += _row_marks(margin, x, 26.0 + index * _ROW_PX, unit)
    return drawing.picture(
        key,
        "Speed against the limits of bends and crests",
        margin_sentence(margins, unit),
        (width_px, height),
        marks,
        standalone=standalone,
    )


def margin_sentence(margins: Sequence[Margin], unit: LengthUnit = METRE) -> str:
    """Return the tightest margin in words."""
    shown = telling_margins(margins)
    if not shown:
        return "No bend or crest of this track sets a limit to the speed."
    tightest = max(shown, key=_share)
    speed, limit = figure(tightest.speed_m_s, 2), figure(tightest.limit_m_s, 2)
    place, what = unit.told(tightest.at_m), _EVENTS[tightest.kind]
    if _share(tightest) >= 1.0:
        return f"Too fast at {place}: {speed} m/s, and at {limit} m/s {what}."
    percent = figure(100.0 * _share(tightest), 0)
    return (
        f"Closest at {place}: {speed} m/s, {percent}{NO_BREAK}% of the {limit} m/s at which {what}."
    )


def _share(margin: Margin) -> float:
    return margin.speed_m_s / margin.limit_m_s


def _row_marks(margin: Margin, x: Scale, top: float, unit: LengthUnit) -> list[drawing.Mark]:
    share = _share(margin)
    beyond = share >= 1.0
    style = "warning" if beyond else "fill-accent"
    what = f"{unit.told(margin.at_m)}: {MARGIN_WORDS[margin.kind]}"
    speeds = f"{figure(margin.speed_m_s, 2)} of {figure(margin.limit_m_s, 2)} m/s"
    data = {"mark": "bar", "at_m": f"{margin.at_m:.6g}", "share": f"{share:.6g}"}
    return [
        drawing.words(x.low_px, top + 12.0, what),
        drawing.words(
            x(1.0) - 8.0, top + 12.0, speeds, "words-warning" if beyond else "words", anchor="end"
        ),
        drawing.box(x.low_px, top + 17.0, x(min(share, _FULL)) - x.low_px, 10.0, style, data=data),
    ]
