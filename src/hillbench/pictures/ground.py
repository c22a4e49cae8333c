"""The hill itself, shared by every picture that shows height over distance."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.coasting.profile import Profile
from hillbench.coasting.result import Floats
from hillbench.coasting.track import Track
from hillbench.pictures import drawing
from hillbench.pictures.axis import distance_ticks
from hillbench.pictures.length_unit import METRE, LengthUnit
from hillbench.pictures.scale import Scale

LEFT_PX: Final = 46
RIGHT_PX: Final = 20
_SAMPLES: Final = 150
_LEAST_RISE: Final = 0.015
"""Height shown at least, as a share of the length: a level track looks level."""

_UNDER_PX: Final = 20.0
_FLAG_PX: Final = 58.0


@dataclass(frozen=True, slots=True)
class Ground:
    """A track laid out on the paper.

    Attributes
    ----------
    track, profile
        The track and its shape.
    x, y
        Scales of distance and height.
    base_px
        Lower edge of the hill.
    places_m, heights_m
        The line of the hill, from start to finish.
    unit
        Unit in which lengths are written.
    """

    track: Track
    profile: Profile
    x: Scale
    y: Scale
    base_px: float
    places_m: Floats
    heights_m: Floats
    unit: LengthUnit = METRE

    @property
    def exaggeration(self) -> float:
        """How many times heights are drawn larger than distances."""
        return abs(self.y.px_per_unit) / self.x.px_per_unit

    def surface_px(self, at_m: float) -> tuple[float, float]:
        """Return where on the paper a place on the track is."""
        height = float(self.profile.height_m(np.array([at_m]))[0])
        return self.x(at_m), self.y(height)


def lay_ground(
    track: Track, width_px: int, top_px: float, hill_px: float, unit: LengthUnit = METRE
) -> Ground:
    """Return the track laid out between the margins, the hill `hill_px` tall below `top_px`.

    A finish near the top of the hill needs room for its flag, so the hill moves down for it.
    """
    profile = Profile(track)
    places = np.linspace(0.0, track.finish_at_m, _SAMPLES)
    inner = [place for place in profile.feature_places_m() if 0.0 < place < track.finish_at_m]
    places = np.union1d(places, inner[:_SAMPLES])
    heights = profile.height_m(places)
    low, high = float(heights.min()), float(heights.max())
    high = max(high, low + track.finish_at_m * _LEAST_RISE)
    below = (high - float(heights[-1])) / (high - low) * (hill_px - _UNDER_PX)
    top_px += max(0.0, _FLAG_PX - below - top_px)
    base = top_px + hill_px
    x = Scale(0.0, track.finish_at_m, LEFT_PX, width_px - RIGHT_PX)
    y = Scale(low, high, base - _UNDER_PX, top_px)
    return Ground(track, profile, x, y, base, places, heights, unit)


def hill_marks(ground: Ground) -> list[drawing.Mark]:
    """Return the body of the hill with its bends as bands, height lines and axis."""
    marks = [_body(ground, ground.places_m, "hill", data={"mark": "hill"})]
    marks += [_bend_band(ground, index) for index in range(len(ground.profile.bends))]
    marks += _height_lines(ground)
    marks += _axis(ground)
    return marks


def surface_line(ground: Ground) -> drawing.Mark:
    """Return the line of the hill from start to finish."""
    points = zip(ground.places_m, ground.heights_m, strict=True)
    return drawing.polyline(
        ((ground.x(at), ground.y(height)) for at, height in points),
        "line",
        data={"mark": "surface"},
    )


def words_above_px(ground: Ground, left_px: float, right_px: float) -> float:
    """Return the base line of words that clear the hill between two places on the paper."""
    places = (np.array([left_px, right_px]) - ground.x.low_px) / ground.x.px_per_unit
    under = (ground.places_m >= places[0]) & (ground.places_m <= places[1])
    heights = np.append(ground.profile.height_m(places), ground.heights_m[under])
    return ground.y(float(heights.max())) - 9.0


def finish_marks(ground: Ground, text: str = "") -> list[drawing.Mark]:
    """Return the finish post with its chequered flag and words."""
    x, y = ground.surface_px(ground.track.finish_at_m)
    top = y - 34.0
    marks = [drawing.line((x, y), (x, top), "axis", data={"mark": "finish"})]
    for row in range(3):
        for column in range(4):
            if (row + column) % 2 == 0:
                left = x - 4.0 * (column + 1)
                marks.append(drawing.box(left, top + 4.0 * row, 4.0, 4.0, "square"))
    if text:
        marks.append(drawing.words(x, top - 7.0, text, "words-strong", anchor="end"))
    return marks


def _body(
    ground: Ground, places_m: Floats, style: str, data: drawing.Data | None = None
) -> drawing.Mark:
    heights = ground.profile.height_m(places_m)
    points = zip(places_m, heights, strict=True)
    outline = [(ground.x(at), ground.y(height)) for at, height in points]
    right, left = (outline[-1][0], ground.base_px), (outline[0][0], ground.base_px)
    return drawing.polygon([*outline, right, left], style, data=data)


def _bend_band(ground: Ground, index: int) -> drawing.Mark:
    bend = ground.profile.bends[index]
    low, high = max(bend.from_m, 0.0), min(bend.to_m, ground.track.finish_at_m)
    data = {"mark": "bend", "from_m": bend.from_m, "to_m": bend.to_m}
    return _body(ground, np.linspace(low, max(low, high), 12), "bend", data=data)


def _height_lines(ground: Ground) -> list[drawing.Mark]:
    """Return level lines inside the hill, as on a map, each with its height."""
    marks = []
    for height_m, number in ground.unit.ticks(ground.y.low, ground.y.high, 4):
        y = ground.y(height_m)
        marks += [
            drawing.line((ground.x(low), y), (ground.x(high), y), "rule")
            for low, high in _stretches_above(ground, height_m)
        ]
        text = f"{number} {ground.unit.symbol}"
        marks.append(drawing.words(LEFT_PX - 9.0, y + 4.0, text, "words-quiet", anchor="end"))
    return marks


def _stretches_above(ground: Ground, height_m: float) -> list[tuple[float, float]]:
    """Return the stretches of the track that are above a height."""
    above = np.concatenate([[False], ground.heights_m > height_m, [False]])
    edges = np.flatnonzero(np.diff(above.astype(np.int8)))
    return [
        (float(ground.places_m[low]), float(ground.places_m[high - 1]))
        for low, high in zip(edges[::2], edges[1::2], strict=True)
    ]


def _axis(ground: Ground) -> list[drawing.Mark]:
    y = ground.base_px
    ends = ((ground.x.low_px, y), (ground.x.high_px, y))
    marks = [drawing.line(*ends, "axis", data={"mark": "axis"})]
    return marks + distance_ticks(ground.x, y, ground.unit)
