"""A track without a run: what the editor shows while it is being typed in."""

from __future__ import annotations

from typing import Final

import numpy as np

from hillbench.coasting.track import Track
from hillbench.pictures import below_axis, drawing, ground, labels
from hillbench.pictures.drawing import ROOMY_PX, WIDE_PX
from hillbench.pictures.length_unit import METRE, LengthUnit
from hillbench.pictures.scale import Scale, figure

_STEEPEST_DEG: Final = 90.0


def hill_picture(
    track: Track,
    *,
    name: str = "The track",
    width_px: int = WIDE_PX,
    key: str = "hill",
    unit: LengthUnit = METRE,
    standalone: bool = False,
) -> str:
    """Return the height of a track over distance, with its bends, gates and slopes, as SVG.

    Parameters
    ----------
    track
        A track that `check_track` finds nothing wrong with.
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
    hill_px = 150.0 if width_px >= ROOMY_PX else 130.0
    land = ground.lay_ground(track, width_px, 30.0, hill_px, unit)
    marks = ground.hill_marks(land)
    marks.append(ground.surface_line(land))
    marks += _slope_words(land)
    marks += ground.finish_marks(land, f"finish {unit.told(track.finish_at_m, 4)}")
    gates = tuple(f"gate {number}" for number in range(1, len(track.gates_at_m) + 1))
    more, bottom = below_axis.gate_marks(land, gates, land.base_px + 22.0)
    marks += more
    more, bottom = below_axis.bend_words(land, bottom)
    marks += more
    marks.append(below_axis.scale_words(land, bottom + 18.0))
    return drawing.picture(
        key,
        f"{name}: height over distance",
        hill_sentence(track, unit),
        (width_px, bottom + 26.0),
        marks,
        standalone=standalone,
    )


def hill_thumbnail(track: Track, *, name: str, key: str, unit: LengthUnit = METRE) -> str:
    """Return a small picture of a track's profile without words, for lists."""
    width, height = 160, 56
    land = ground.lay_ground(track, width, 0.0, height)
    x = Scale(0.0, track.finish_at_m, 4.0, width - 4.0)
    y = Scale(land.y.low, land.y.high, height - 14.0, 5.0)
    points = [(x(at), y(level)) for at, level in zip(land.places_m, land.heights_m, strict=True)]
    base = height - 4.0
    body = drawing.polygon([*points, (points[-1][0], base), (points[0][0], base)], "hill")
    bends = [
        drawing.box(x(bend.from_m), base - 3.0, x(bend.to_m) - x(bend.from_m), 3.0, "fill-muted")
        for bend in track.bends
    ]
    marks = [body, *bends, drawing.polyline(points, "line")]
    return drawing.picture(
        key, f"Profile of {name}", hill_sentence(track, unit), (width, height), marks
    )


def hill_sentence(track: Track, unit: LengthUnit = METRE) -> str:
    """Return a track in one sentence: its length, its drop and its bends."""
    land = ground.lay_ground(track, WIDE_PX, 0.0, 100.0)
    drop = float(land.heights_m[0] - land.heights_m[-1])
    falls = f"falls {unit.fixed(drop, 2)}" if drop >= 0.0 else f"rises {unit.fixed(-drop, 2)}"
    bends = sum(1 for bend in track.bends if bend.turn_deg)
    winding = {0: "no bends", 1: "one bend"}.get(bends, f"{bends} bends")
    length = unit.told(track.finish_at_m, 4)
    return f"{length} long, {falls} from start to finish, {winding}."


def _slope_words(land: ground.Ground) -> list[drawing.Mark]:
    """Return the slope at the start and where it is steepest."""
    slopes = np.degrees(land.profile.slope_rad(land.places_m))
    steepest = int(np.argmax(np.abs(slopes)))
    at = float(land.places_m[steepest])
    x, y = land.surface_px(at)
    if x > (land.x.low_px + land.x.high_px) * 0.6:
        return []
    text = f"steepest {figure(float(slopes[steepest]), 1)}° at {land.unit.told(at)}"
    left = x + 9.0
    base_line = ground.words_above_px(land, left, left + labels.text_width_px(text))
    return [drawing.dot(x, y), drawing.words(left, base_line, text, "words", "halo")]
