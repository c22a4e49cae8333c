"""Marks of a ballast plan: pieces, keep-outs and ceilings on a frame in millimetres."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hillbench.ballast.cavity import Cavity, KeepOut
from hillbench.ballast.plan import Placement
from hillbench.pictures import drawing


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

    def box(self, x0: float, y0: float, x1: float, y1: float, style: str) -> drawing.Mark:
        """Return a filled box between two corners, mm."""
        left, top = self.at(x0, y1)
        return drawing.box(left, top, (x1 - x0) * self.px_per_mm, (y1 - y0) * self.px_per_mm, style)

    def outline(self, x0: float, y0: float, x1: float, y1: float, style: str) -> drawing.Mark:
        """Return the outline of a box between two corners, mm."""
        corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
        return drawing.polyline([self.at(*corner) for corner in corners], style)

    def line(
        self, first: tuple[float, float], second: tuple[float, float], style: str
    ) -> drawing.Mark:
        """Return a line between two places, mm."""
        return drawing.line(self.at(*first), self.at(*second), style)


def top_marks(frame: Frame, placement: Placement, *, below: bool) -> list[drawing.Mark]:
    """Return a piece from above; dashed where it lies on a layer below.

    Parameters
    ----------
    frame
        The view.
    placement
        The piece.
    below
        Whether it lies on a layer below the one shown.
    """
    x0, y0 = placement.x_mm, placement.y_mm
    x1, y1 = x0 + placement.size_mm[0], y0 + placement.size_mm[1]
    if below:
        return [frame.outline(x0, y0, x1, y1, "gate")]
    middle = frame.at((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    size = f"{placement.size_mm[0]:g} × {placement.size_mm[1]:g}"
    rear, left = frame.at(x0, y1), f"x {x0:g}, y {y1:g}"
    return [
        frame.box(x0, y0, x1, y1, "gained"),
        frame.outline(x0, y0, x1, y1, "line-accent"),
        drawing.words(
            middle[0],
            middle[1],
            str(placement.number),
            "words-strong",
            anchor="middle",
            data={"mark": "piece", "name": placement.name, "size_mm": size},
        ),
        drawing.words(rear[0] + 3.0, rear[1] + 12.0, left, "words-quiet"),
    ]


def keep_out_marks(frame: Frame, keep_out: KeepOut) -> list[drawing.Mark]:
    """Return a keep-out from above."""
    if isinstance(keep_out.x_mm, tuple) and isinstance(keep_out.y_mm, tuple):
        (x0, x1), (y0, y1) = keep_out.x_mm, keep_out.y_mm
        return [frame.box(x0, y0, x1, y1, "bend")]
    if isinstance(keep_out.x_mm, tuple) or isinstance(keep_out.y_mm, tuple):
        return []
    radius = keep_out.radius_mm or 0.0
    corners = [
        frame.at(
            keep_out.x_mm + radius * math.cos(math.tau * step / 48),
            keep_out.y_mm + radius * math.sin(math.tau * step / 48),
        )
        for step in range(48)
    ]
    return [drawing.polygon(corners, "bend"), drawing.polyline([*corners, corners[0]], "axis")]


def ceiling_marks(frame: Frame, cavity: Cavity) -> list[drawing.Mark]:
    """Return the profiles above the cavity, seen from the side."""
    return [
        frame.line((one.from_mm[0], one.from_mm[1]), (one.to_mm[0], one.to_mm[1]), "limit")
        for one in cavity.ceiling
        if one.from_mm and one.to_mm
    ]
