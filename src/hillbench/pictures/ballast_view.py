"""Marks of a cavity and of what lies in it, on a frame in millimetres."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.ballast.cavity import Cavity, Ceiling, KeepOut
from hillbench.ballast.clearance import TightPlace
from hillbench.ballast.plan import Placement
from hillbench.pictures import drawing, labels

GLASS: Final = frozenset({"windscreen", "rear window", "rear door", "side glass"})
"""Names of surfaces that are seen through."""

_AXLE_ROW_PX: Final = 15.0
_TOGETHER_PX: Final = 12.0
_CLEAR_PX: Final = 18.0
_CIRCLE: Final = 40


@dataclass(frozen=True, slots=True)
class Frame:
    """A view of the car on the sheet.

    Attributes
    ----------
    left_px, top_px
        Its upper left corner.
    px_per_mm
        Scale, the same both ways.
    first_mm
        Place along the car at the left edge, mm.
    upper_mm
        Place across, or height, at the upper edge, mm.
    """

    left_px: float
    top_px: float
    px_per_mm: float
    first_mm: float
    upper_mm: float

    def at(self, along_mm: float, up_mm: float) -> tuple[float, float]:
        """Return where on the sheet a place is."""
        return (
            self.left_px + (along_mm - self.first_mm) * self.px_per_mm,
            self.top_px + (self.upper_mm - up_mm) * self.px_per_mm,
        )

    def box(self, low: tuple[float, float], high: tuple[float, float], style: str) -> drawing.Mark:
        """Return a box between two corners, mm."""
        left, top = self.at(low[0], high[1])
        width, height = ((b - a) * self.px_per_mm for a, b in zip(low, high, strict=True))
        return drawing.box(left, top, width, height, style)

    def line(
        self, first: tuple[float, float], second: tuple[float, float], style: str
    ) -> drawing.Mark:
        """Return a line between two places, mm."""
        return drawing.line(self.at(*first), self.at(*second), style)


def is_glass(surface: Ceiling) -> bool:
    """Return whether a surface is seen through."""
    return surface.name in GLASS


def keep_out_marks(frame: Frame, keep_out: KeepOut, number: int | None = None) -> drawing.Mark:
    """Return a keep-out from above with its clearance around it.

    Parameters
    ----------
    frame
        The view.
    keep_out
        What stays free.
    number
        Its row in the form, where it can be dragged.
    """
    gap = keep_out.clearance_mm
    shapes: list[drawing.Mark] = []
    if isinstance(keep_out.x_mm, tuple) and isinstance(keep_out.y_mm, tuple):
        (x0, x1), (y0, y1) = keep_out.x_mm, keep_out.y_mm
        shapes.append(frame.box((x0, y0), (x1, y1), "stays-free"))
        if gap:
            shapes.append(frame.box((x0 - gap, y0 - gap), (x1 + gap, y1 + gap), "clearance"))
    elif isinstance(keep_out.x_mm, int | float) and isinstance(keep_out.y_mm, int | float):
        centre, radius = (keep_out.x_mm, keep_out.y_mm), keep_out.radius_mm or 0.0
        shapes.append(drawing.polygon(_circle(frame, centre, radius), "stays-free"))
        if gap:
            ring = _circle(frame, centre, radius + gap)
            shapes.append(drawing.polyline([*ring, ring[0]], "clearance"))
    data: dict[str, object] = {"mark": "keep-out", "name": keep_out.name}
    if number is not None:
        data |= {"keep_out": number}
    return drawing.group(shapes, data)


def _circle(
    frame: Frame, centre: tuple[float, float], radius_mm: float
) -> list[tuple[float, float]]:
    return [
        frame.at(
            centre[0] + radius_mm * math.cos(math.tau * step / _CIRCLE),
            centre[1] + radius_mm * math.sin(math.tau * step / _CIRCLE),
        )
        for step in range(_CIRCLE)
    ]


def keep_out_side(frame: Frame, keep_out: KeepOut, cavity: Cavity) -> drawing.Mark:
    """Return a keep-out seen from the side, from the floor and below the body."""
    if isinstance(keep_out.x_mm, tuple):
        ends = (keep_out.x_mm[0], keep_out.x_mm[1])
    else:
        radius = keep_out.radius_mm or 0.0
        ends = (keep_out.x_mm - radius, keep_out.x_mm + radius)
    low, high = keep_out.z_mm or (None, None)
    foot = cavity.floor_z_mm if low is None else low
    top = roof_at(cavity, sum(ends) / 2.0) if high is None else high
    return frame.box((ends[0], foot), (ends[1], max(top, foot)), "stays-free")


def roof_at(cavity: Cavity, x_mm: float) -> float:
    """Return the height of the lowest body line over a place, mm; the floor where there is none."""
    heights = []
    for surface in cavity.ceiling:
        if surface.from_mm and surface.to_mm:
            (x0, z0), (x1, z1) = sorted((tuple(surface.from_mm), tuple(surface.to_mm)))
            if x0 <= x_mm <= x1:
                heights.append(z0 + (z1 - z0) * (x_mm - x0) / (x1 - x0))
    return min(heights, default=cavity.floor_z_mm)


def body_line(frame: Frame, cavity: Cavity) -> list[drawing.Mark]:
    """Return floor, body line and glass from the side."""
    ends, floor = cavity.x_mm, cavity.floor_z_mm
    marks: list[drawing.Mark] = []
    for surface in cavity.ceiling:
        if not (surface.from_mm and surface.to_mm):
            continue
        start, end = (frame.at(*point) for point in (surface.from_mm, surface.to_mm))
        if is_glass(surface):
            feet = (frame.at(surface.to_mm[0], floor), frame.at(surface.from_mm[0], floor))
            marks.append(drawing.polygon([start, end, *feet], "glass"))
        style = "glass-edge" if is_glass(surface) else "line"
        marks.append(drawing.line(start, end, style, data={"mark": "body", "name": surface.name}))
    marks += [frame.line((x, floor), (x, max(roof_at(cavity, x), floor)), "axis") for x in ends]
    marks.append(frame.line((ends[0], floor), (ends[1], floor), "limit"))
    return marks


def glass_from_above(frame: Frame, cavity: Cavity) -> list[drawing.Mark]:
    """Return where windscreen and rear window slope, seen from above."""
    low, high = cavity.y_mm
    return [
        frame.box((one.from_mm[0], low), (one.to_mm[0], high), "glass")
        for one in cavity.ceiling
        if one.from_mm and one.to_mm and is_glass(one)
    ]


def axle_lines(
    frame: Frame, wheelbase_mm: float, ends_mm: tuple[float, float]
) -> Iterator[drawing.Mark]:
    """Yield both axles as lines with their names below."""
    for name, x in (("rear axle", 0.0), ("front axle", wheelbase_mm)):
        yield frame.line((x, ends_mm[0]), (x, ends_mm[1]), "line-before")
        foot = frame.at(x, ends_mm[0])
        yield drawing.words(foot[0], foot[1] + _AXLE_ROW_PX, name, "words-quiet", anchor="middle")


def piece_from_above(
    frame: Frame, piece: Placement, *, below: bool, avoid: tuple[float, float]
) -> list[drawing.Mark]:
    """Return a piece from above with its number; dashed where it lies on a layer below.

    Parameters
    ----------
    frame
        The view.
    piece
        The piece.
    below
        Whether it lies on a layer below the one shown.
    avoid
        Place of another mark, mm; the number stands clear of it.
    """
    low = (piece.x_mm, piece.y_mm)
    high = (low[0] + piece.size_mm[0], low[1] + piece.size_mm[1])
    if below:
        return [frame.box(low, high, "piece-below")]
    middle = frame.at((low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0)
    if math.dist(middle, frame.at(*avoid)) < _CLEAR_PX:
        middle = frame.at(low[0] + 0.25 * piece.size_mm[0], low[1] + 0.75 * piece.size_mm[1])
    size = f"{piece.size_mm[0]:g} × {piece.size_mm[1]:g}"
    return [
        frame.box(low, high, "piece"),
        drawing.words(
            middle[0],
            middle[1] + 5.0,
            str(piece.number),
            "words-strong",
            anchor="middle",
            data={"mark": "piece", "name": piece.name, "size_mm": size},
        ),
    ]


def pieces_from_side(
    frame: Frame, pieces: Sequence[Placement], avoid: tuple[float, float]
) -> list[drawing.Mark]:
    """Return pieces from the side, far ones first; numbers that would touch stand together.

    Parameters
    ----------
    frame
        The view.
    pieces
        In the order drawn.
    avoid
        Place of another mark, mm; numbers stand clear of it.
    """
    marks: list[drawing.Mark] = []
    rows: list[tuple[tuple[float, float], list[int]]] = []
    for piece in pieces:
        low = (piece.x_mm, piece.z_mm)
        high = (low[0] + piece.size_mm[0], low[1] + piece.size_mm[2])
        marks.append(frame.box(low, high, "piece"))
        middle = frame.at((low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0)
        if math.dist(middle, frame.at(*avoid)) < _CLEAR_PX:
            middle = frame.at(low[0] + 0.2 * piece.size_mm[0], (low[1] + high[1]) / 2.0)
        near = [numbers for at, numbers in rows if math.dist(at, middle) < _TOGETHER_PX]
        if near:
            near[0].append(piece.number)
        else:
            rows.append((middle, [piece.number]))
    for (x, y), numbers in rows:
        text = ", ".join(str(number) for number in sorted(numbers))
        marks.append(drawing.words(x, y + 5.0, text, "words-strong", "halo", anchor="middle"))
    return marks


def tight_mark(frame: Frame, place: TightPlace, piece: Placement) -> list[drawing.Mark]:
    """Return a tight place of a piece: a dot, and beside it the room that is left there."""
    up = place.at_mm[2] if place.upwards else place.at_mm[1]
    x, y = frame.at(place.at_mm[0], up)
    text = f"{place.gap_mm:.1f}"
    behind = place.at_mm[0] < piece.x_mm + piece.size_mm[0] / 2.0 - 0.01
    fits = x - labels.text_width_px(text, 12.0) - 8.0 > frame.left_px
    anchor: drawing.Anchor = "end" if behind and fits else "start"
    if behind and not fits and not place.upwards:  # above the piece, clear of its number
        y_words = frame.at(0.0, piece.y_mm + piece.size_mm[1])[1] - 3.0
    else:
        y_words = y - 5.0
    return [
        drawing.dot(x, y, radius=2.5),
        drawing.words(
            x + (-5.0 if anchor == "end" else 5.0),
            y_words,
            text,
            "words-quiet",
            "halo",
            anchor=anchor,
            data={"mark": "tight", "to": place.to},
        ),
    ]


def centre_mark(frame: Frame, along_mm: float, up_mm: float) -> list[drawing.Mark]:
    """Return the centre of gravity."""
    x, y = frame.at(along_mm, up_mm)
    return [
        drawing.line((x - 10.0, y), (x + 10.0, y), "line-accent"),
        drawing.line((x, y - 10.0), (x, y + 10.0), "line-accent"),
        drawing.dot(x, y, radius=4.0),
    ]
