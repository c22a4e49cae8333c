"""The hill itself, shared by every picture that shows height over distance."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import svg

from hillbench.coasting.profile import Profile
from hillbench.coasting.result import Floats
from hillbench.coasting.track import Track
from hillbench.pictures import drawing, labels
from hillbench.pictures.scale import Scale, figure, nice_ticks, short_figure, tick_figure

LEFT_PX: Final = 46
RIGHT_PX: Final = 20
_SAMPLES: Final = 150
_ROW_PX: Final = 17
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
    """

    track: Track
    profile: Profile
    x: Scale
    y: Scale
    base_px: float
    places_m: Floats
    heights_m: Floats

    @property
    def exaggeration(self) -> float:
        """How many times heights are drawn larger than distances."""
        return abs(self.y.px_per_unit) / self.x.px_per_unit

    def surface_px(self, at_m: float) -> tuple[float, float]:
        """Return where on the paper a place on the track is."""
        height = float(self.profile.height_m(np.array([at_m]))[0])
        return self.x(at_m), self.y(height)


def lay_ground(track: Track, width_px: int, top_px: float, hill_px: float) -> Ground:
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
    return Ground(track, profile, x, y, base, places, heights)


def hill_marks(ground: Ground) -> list[svg.Element]:
    """Return the body of the hill with its bends as bands, height lines and axis."""
    marks = [_body(ground, ground.places_m, "hill", data={"mark": "hill"})]
    marks += [_bend_band(ground, index) for index in range(len(ground.profile.bends))]
    marks += _height_lines(ground)
    marks += _axis(ground)
    return marks


def surface_line(ground: Ground) -> svg.Element:
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


def finish_marks(ground: Ground, text: str = "") -> list[svg.Element]:
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


def gate_marks(
    ground: Ground, texts: tuple[str, ...], top_px: float
) -> tuple[list[svg.Element], float]:
    """Return the gates with their words in rows below the axis, and where the rows end."""
    gates = ground.track.gates_at_m
    marks = [
        drawing.line(
            ground.surface_px(gate),
            (ground.x(gate), ground.base_px + 5.0),
            "gate",
            data={"mark": "gate", "at_m": gate},
        )
        for gate in gates
    ]
    rows, end = word_rows(ground, gates, texts, top_px)
    return marks + rows, end


def bend_words(ground: Ground, top_px: float) -> tuple[list[svg.Element], float]:
    """Return direction and radius of each bend below the axis, and where the words end.

    They stand under their bends where two rows hold them; else each bend has a number.
    """
    bends = [bend for bend in ground.profile.bends if bend.turn_deg]
    centres = tuple((bend.from_m + bend.to_m) / 2.0 for bend in bends)
    texts = tuple(bend_text(bend.turn_deg, bend.curvature_1_m) for bend in bends)
    marks, end = word_rows(ground, centres, texts, top_px)
    if end <= top_px + 2 * _ROW_PX:
        return marks, end
    return _numbered_bends(ground, centres, texts, top_px)


def _numbered_bends(
    ground: Ground, centres_m: tuple[float, ...], texts: tuple[str, ...], top_px: float
) -> tuple[list[svg.Element], float]:
    columns = max(1, int((ground.x.high_px + RIGHT_PX) / 165.0))
    rows = -(-len(texts) // columns)
    marks = []
    for index, (at, text) in enumerate(zip(centres_m, texts, strict=True)):
        left = 8.0 + (index // rows) * (ground.x.high_px + RIGHT_PX - 8.0) / columns
        base_line = top_px + 15.0 + (index % rows) * _ROW_PX
        number = str(index + 1)
        inside = (ground.x(at), ground.base_px - 5.0)
        marks.append(drawing.words(*inside, number, "words-quiet", anchor="middle"))
        marks.append(drawing.words(left, base_line, f"{number}  {text}", "words-quiet"))
    return marks, top_px + rows * _ROW_PX + 4.0


def bend_text(turn_deg: float, curvature_1_m: float) -> str:
    """Return a bend in few words: which way, how far round and on what radius."""
    arrow = "↰" if turn_deg > 0.0 else "↱"
    radius = 1.0 / abs(curvature_1_m)
    return f"{arrow} {figure(abs(turn_deg), 0)}° r {short_figure(radius, 2)} m"


def word_rows(
    ground: Ground, places_m: tuple[float, ...], texts: tuple[str, ...], top_px: float
) -> tuple[list[svg.Element], float]:
    """Return words under their places, in rows where none touch, each with a fine leader."""
    if not texts:
        return [], top_px
    span = (4.0, ground.x.high_px + RIGHT_PX - 4.0)
    centres = [ground.x(min(max(place, 0.0), ground.x.high)) for place in places_m]
    widths = [labels.text_width_px(text, 12.0) for text in texts]
    marks = []
    placed = labels.stack_in_rows(centres, widths, span, gap_px=10.0)
    for item in placed:
        base_line = top_px + 13.0 + item.row * _ROW_PX
        text = drawing.words(
            item.centre_px, base_line, texts[item.index], "words-quiet", anchor="middle"
        )
        marks.append(text)
    return marks, top_px + (max(item.row for item in placed) + 1) * _ROW_PX


def scale_words(ground: Ground, y_px: float) -> svg.Element:
    """Return the sentence on how much larger heights are drawn."""
    times = ground.exaggeration
    text = (
        "Heights and distances to the same scale."
        if abs(times - 1.0) < 0.02
        else f"Heights drawn {short_figure(times, 2)} times as large as distances."
    )
    return drawing.words(ground.x.low_px, y_px, text, "words-quiet")


def _body(
    ground: Ground, places_m: Floats, style: str, data: drawing.Data | None = None
) -> svg.Element:
    heights = ground.profile.height_m(places_m)
    points = zip(places_m, heights, strict=True)
    outline = [(ground.x(at), ground.y(height)) for at, height in points]
    right, left = (outline[-1][0], ground.base_px), (outline[0][0], ground.base_px)
    return drawing.polygon([*outline, right, left], style, data=data)


def _bend_band(ground: Ground, index: int) -> svg.Element:
    bend = ground.profile.bends[index]
    low, high = max(bend.from_m, 0.0), min(bend.to_m, ground.track.finish_at_m)
    data = {"mark": "bend", "from_m": bend.from_m, "to_m": bend.to_m}
    return _body(ground, np.linspace(low, max(low, high), 12), "bend", data=data)


def _height_lines(ground: Ground) -> list[svg.Element]:
    """Return level lines inside the hill, as on a map, each with its height."""
    ticks = nice_ticks(ground.y.low, ground.y.high, 4)
    step = ticks[1] - ticks[0] if len(ticks) > 1 else 0.1
    marks = []
    for tick in ticks:
        y = ground.y(tick)
        marks += [
            drawing.line((ground.x(low), y), (ground.x(high), y), "rule")
            for low, high in _stretches_above(ground, tick)
        ]
        text = f"{tick_figure(tick, step)} m"
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


def _axis(ground: Ground) -> list[svg.Element]:
    y = ground.base_px
    ends = ((ground.x.low_px, y), (ground.x.high_px, y))
    marks = [drawing.line(*ends, "axis", data={"mark": "axis"})]
    return marks + distance_ticks(ground.x, y)


def distance_ticks(x: Scale, y_px: float) -> list[svg.Element]:
    """Return the ticks of a distance axis with their figures in metres."""
    ticks = nice_ticks(x.low, x.high, max(2, int((x.high_px - x.low_px) / 60.0)))
    step = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
    marks: list[svg.Element] = []
    for tick in ticks:
        place = x(tick)
        text = tick_figure(tick, step) + (" m" if tick == ticks[-1] else "")
        marks.append(drawing.line((place, y_px), (place, y_px + 4.0), "axis"))
        marks.append(drawing.words(place, y_px + 17.0, text, "words-quiet", anchor="middle"))
    return marks
