"""The picture of an invented track from above."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from PIL import Image, ImageDraw

from hillbench.coasting.track import Track
from hillbench.demo.draw_car import INK, PAPER, SIZE_PX, jpeg, oversampled

_LARGEST_STEP_M = 0.02


def draw_plan(track: Track) -> bytes:
    """Return the track seen from above, as a JPEG file."""
    image = Image.new("RGB", oversampled(SIZE_PX), PAPER[0])
    drawing = ImageDraw.Draw(image)
    points = _fitted(tuple(_line(track)), image.size)
    for width, colour in ((58, INK), (50, "#c98d4b"), (36, "#46505a"), (6, "#7c8791")):
        drawing.line(points, fill=colour, width=width, joint="curve")
    for (x, y), colour in ((points[0], "#3f8f5b"), (points[-1], "#f3f0e6")):
        drawing.ellipse((x - 22, y - 22, x + 22, y + 22), fill=colour, outline=INK, width=5)
    return jpeg(image)


def _line(track: Track) -> Iterator[tuple[float, float]]:
    """Yield places in metres along the track; a turn to the left is drawn to the left."""
    edges = {0.0, track.finish_at_m}
    for bend in track.bends:
        edges |= {bend.from_m, bend.to_m}
    x = y = heading = 0.0
    yield x, y
    for low, high in pairwise(sorted(edges)):
        middle = (low + high) / 2.0
        turn = sum(b.curvature_1_m for b in track.bends if b.from_m < middle < b.to_m)
        count = max(1, math.ceil((high - low) / _LARGEST_STEP_M))
        step = (high - low) / count
        for _ in range(count):
            heading += turn * step
            x, y = x + step * math.cos(heading), y + step * math.sin(heading)
            yield x, y


def _fitted(
    line: tuple[tuple[float, float], ...], size: tuple[int, int]
) -> list[tuple[float, float]]:
    lows = [min(place[axis] for place in line) for axis in (0, 1)]
    highs = [max(place[axis] for place in line) for axis in (0, 1)]
    scale = 0.86 * min(size[axis] / max(highs[axis] - lows[axis], 1.0) for axis in (0, 1))
    x0, y0 = ((highs[axis] + lows[axis]) / 2.0 for axis in (0, 1))
    return [(size[0] / 2 + (x - x0) * scale, size[1] / 2 - (y - y0) * scale) for x, y in line]
