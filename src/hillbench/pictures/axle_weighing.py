"""How a car is weighed by its axles: level, and with the front raised."""

from __future__ import annotations

import math
from typing import Final

from hillbench.pictures import drawing

_WHEEL_PX: Final = 17.0
_SCALE_PX: Final = (74.0, 16.0)
_BASE_PX: Final = 150.0
_GROUND_PX: Final = 150.0


def axle_weighing_picture(*, width_px: int, key: str) -> str:
    """Return both ways of weighing side by side, or one below the other where it is narrow.

    Parameters
    ----------
    width_px
        Width of the picture.
    key
        Name of the picture, unique in its page.
    """
    beside = width_px >= drawing.ROOMY_PX
    second = (width_px / 2.0, 0.0) if beside else (0.0, 190.0)
    marks = [
        *_weighing((0.0, 0.0), "1  Level: rear axle on the scale", 0.0),
        *_weighing(second, "2  Front raised: the rear reads more", 38.0),
    ]
    return drawing.picture(
        key,
        "Weighing by the axles",
        "The rear axle stands on the scale; the front axle beside it at the same height, and then "
        "raised by a known height.",
        (width_px, 190.0 if beside else 380.0),
        marks,
    )


def _weighing(corner: tuple[float, float], caption: str, raised_px: float) -> list[drawing.Mark]:
    left, top = corner[0] + 16.0, corner[1]
    ground = top + _GROUND_PX
    rear = (left + _SCALE_PX[0] / 2.0, ground - _SCALE_PX[1] - _WHEEL_PX)
    reach = math.sqrt(_BASE_PX**2 - raised_px**2)
    front = (rear[0] + reach, rear[1] - raised_px)
    block = ground - front[1] - _WHEEL_PX
    marks: list[drawing.Mark] = [
        drawing.words(left, top + 16.0, caption, "words-strong"),
        drawing.line((left - 8.0, ground), (front[0] + 50.0, ground), "axis"),
        drawing.box(left, ground - _SCALE_PX[1], *_SCALE_PX, "piece-side"),
        drawing.words(rear[0], ground + 17.0, "scale", "words-quiet", anchor="middle"),
        drawing.box(front[0] - 24.0, ground - block, 48.0, block, "post-side"),
        drawing.words(front[0], ground + 17.0, "blocks", "words-quiet", anchor="middle"),
        drawing.polygon(_body(rear, front), "hill"),
        drawing.polyline(_body(rear, front), "line"),
    ]
    marks += [drawing.dot(*place, "stays-free", radius=_WHEEL_PX) for place in (rear, front)]
    marks += [drawing.dot(*place, radius=3.0) for place in (rear, front)]
    if raised_px:
        x = front[0] + 34.0
        marks.append(drawing.line((x, rear[1]), (x, front[1]), "line-accent"))
        marks.append(drawing.line((rear[0], rear[1]), (x + 6.0, rear[1]), "gate"))
        middle = (rear[1] + front[1]) / 2.0 + 4.0
        marks.append(drawing.words(x + 6.0, middle, "raised by", "words-accent", "halo"))
    return marks


def _body(rear: tuple[float, float], front: tuple[float, float]) -> list[tuple[float, float]]:
    """Return a car's outline over its axles."""
    along = ((front[0] - rear[0]) / _BASE_PX, (front[1] - rear[1]) / _BASE_PX)
    up = (along[1], -along[0])
    shape = ((-38, 4), (-38, 26), (-6, 30), (24, 56), (84, 56), (112, 28), (176, 20), (182, 4))
    return [
        (rear[0] + x * along[0] + y * up[0], rear[1] + x * along[1] + y * up[1])
        for x, y in (*shape, shape[0])
    ]
