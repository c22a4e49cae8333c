"""A track from above, true to scale, with a mark at each metre."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hillbench.coasting.profile import Profile
from hillbench.coasting.result import Floats
from hillbench.coasting.track import Track
from hillbench.pictures import drawing, labels
from hillbench.pictures.drawing import WIDE_PX
from hillbench.pictures.length_unit import METRE, LengthUnit
from hillbench.pictures.scale import nice_step

_STEPS: Final = 1500
_MARGIN_PX: Final = 40.0
_TALLEST_PX: Final = 420.0
_DIRECTIONS: Final = 90


def plan_line(track: Track) -> tuple[Floats, NDArray[np.float64]]:
    """Return places along a track and where they are seen from above.

    Returns
    -------
    at_m
        Places from start to finish, shape (k,).
    plan_m
        Coordinates seen from above, m, shape (k, 2); the track sets off along the first axis
        and a left turn leads towards the second.

    Notes
    -----
    Heading grows with the turn in the surface; steps are shortened by the cosine of the
    slope. Exact for a level track; on a steep bend the true figure is a helix, from which
    this differs by the cosine of the slope in the turn.
    """
    profile = Profile(track)
    edges = np.linspace(0.0, track.finish_at_m, _STEPS)
    middles = (edges[:-1] + edges[1:]) / 2.0
    heading = _heading_rad(track, middles)
    step = np.diff(edges) * np.cos(profile.slope_rad(middles))
    moves = np.column_stack([step * np.cos(heading), step * np.sin(heading)])
    return edges, np.vstack([np.zeros(2), np.cumsum(moves, axis=0)])


def plan_picture(
    track: Track,
    *,
    name: str = "The track",
    width_px: int = WIDE_PX,
    key: str = "plan",
    unit: LengthUnit = METRE,
    standalone: bool = False,
) -> str:
    """Return a track from above, as SVG.

    Parameters
    ----------
    track
        The track to draw.
    name
        Name of the track, for the title.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    unit
        Unit of lengths along the track.
    standalone
        Whether it is to be a file of its own.
    """
    at, plan = plan_line(track)
    points, height = _fitted(_turned_flat(plan), width_px)
    road = [(float(x), float(y)) for x, y in (*points[::3], points[-1])]
    marks = [
        drawing.polyline(road, "road-edge", data={"mark": "road"}),
        drawing.polyline(road, "road"),
        *_distance_marks(track, at, points, unit),
        *_end_words(points, width_px),
    ]
    return drawing.picture(
        key,
        f"{name} from above",
        _plan_sentence(track, plan, unit),
        (width_px, height),
        marks,
        standalone=standalone,
    )


def _heading_rad(track: Track, at_m: Floats) -> Floats:
    heading = np.zeros_like(at_m)
    for bend in track.bends:
        inside = np.clip(at_m, bend.from_m, bend.to_m) - max(bend.from_m, 0.0)
        heading += bend.curvature_1_m * np.maximum(inside, 0.0)
    return heading


def _turned_flat(plan: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the plan turned so that it is as low as it can be and leads to the right."""
    best: tuple[float, NDArray[np.float64]] | None = None
    for angle in np.linspace(-math.pi / 2.0, math.pi / 2.0, _DIRECTIONS, endpoint=False):
        cosine, sine = math.cos(angle), math.sin(angle)
        turned = plan @ np.array([[cosine, sine], [-sine, cosine]])
        tall = float(np.ptp(turned[:, 1]))
        if best is None or tall < best[0] - 1e-9:
            best = (tall, turned)
    assert best is not None  # noqa: S101  (there is at least one direction)
    turned = best[1]
    return turned if turned[-1, 0] >= turned[0, 0] else -turned


def _fitted(plan: NDArray[np.float64], width_px: int) -> tuple[NDArray[np.float64], float]:
    """Return the plan on the paper, to one scale both ways, and the height it needs."""
    wide, tall = (max(float(np.ptp(plan[:, axis])), 1e-6) for axis in (0, 1))
    px_per_m = min((width_px - 2 * _MARGIN_PX) / wide, _TALLEST_PX / tall)
    x = _MARGIN_PX + (plan[:, 0] - plan[:, 0].min()) * px_per_m
    y = _MARGIN_PX + (plan[:, 1].max() - plan[:, 1]) * px_per_m
    return np.column_stack([x, y]), tall * px_per_m + 2 * _MARGIN_PX


def _distance_marks(
    track: Track, at_m: Floats, points: NDArray[np.float64], unit: LengthUnit
) -> list[drawing.Mark]:
    """Return a tick across the road at each metre or foot, with figures where there is room."""
    ticks = unit.ticks(0.0, track.finish_at_m, max(2, math.ceil(track.finish_at_m * unit.per_m)))
    px_per_m = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum()) / track.finish_at_m
    every_m = nice_step(30.0 * unit.per_m / max(px_per_m, 1e-9), 1) / unit.per_m
    marks: list[drawing.Mark] = []
    centres: list[tuple[float, float]] = [tuple(points[0]), tuple(points[-1])]
    for tick_m, number in ticks[1:]:
        here = np.array([np.interp(tick_m, at_m, points[:, axis]) for axis in (0, 1)])
        across = _across(points, int(np.searchsorted(at_m, tick_m)))
        ends = (here - 5.0 * across, here + 5.0 * across)
        marks.append(drawing.line(tuple(ends[0]), tuple(ends[1]), "leader"))
        place = tuple(here + 16.0 * across)
        numbered = abs(tick_m / every_m - round(tick_m / every_m)) < 1e-6
        if numbered and all(math.dist(place, other) > 26.0 for other in centres):
            centres.append(place)
            at = (place[0], place[1] + 4.0)
            marks.append(drawing.words(*at, number, "words-quiet", anchor="middle"))
    return marks


def _across(points: NDArray[np.float64], index: int) -> NDArray[np.float64]:
    """Return the unit vector to the right of the road, which is down the page at first."""
    low, high = max(index - 2, 0), min(index + 2, len(points) - 1)
    along = points[high] - points[low]
    length = float(np.linalg.norm(along)) or 1.0
    return np.array([-along[1], along[0]]) / length


def _end_words(points: NDArray[np.float64], width_px: int) -> list[drawing.Mark]:
    """Return the words at both ends, on the side that the road does not take."""
    few = min(20, len(points) - 1)
    rises_at_start = points[few, 1] < points[0, 1]
    comes_from_below = points[-1 - few, 1] >= points[-1, 1]
    marks: list[drawing.Mark] = []
    for index, text, above in (
        (0, "start", not rises_at_start),
        (len(points) - 1, "finish", comes_from_below),
    ):
        x, y = (float(value) for value in points[index])
        half = labels.text_width_px(text, 14.0) / 2.0
        centre = max(4.0 + half, min(x, width_px - 4.0 - half))
        base_line = y - 13.0 if above else y + 24.0
        marks.append(drawing.dot(x, y, radius=5.0))
        marks.append(drawing.words(centre, base_line, text, "words-strong", anchor="middle"))
    return marks


def _plan_sentence(track: Track, plan: NDArray[np.float64], unit: LengthUnit) -> str:
    left = sum(bend.turn_deg for bend in track.bends if bend.turn_deg > 0.0)
    right = -sum(bend.turn_deg for bend in track.bends if bend.turn_deg < 0.0)
    apart = unit.told(float(np.linalg.norm(plan[-1] - plan[0])))
    turns = f"{left:.0f}° of left turn and {right:.0f}° of right turn"
    return f"{turns}; the finish is {apart} from the start, seen from above."
