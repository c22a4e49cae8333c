"""How near a plan's pieces come to body, glass, posts and axles: the tightest places."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from hillbench.ballast.cavity import Cavity, Ceiling, KeepOut
from hillbench.ballast.plan import Placement, Plan
from hillbench.ballast.task import BallastTask

_TOUCH_MM = 1e-6


@dataclass(frozen=True, slots=True)
class TightPlace:
    """One gap between a piece and what must not be touched.

    Attributes
    ----------
    piece
        Number of the piece.
    to
        What it is near to.
    gap_mm
        Room between them: upwards below a body line, sideways beside everything else, mm.
    asked_mm
        Clearance that was asked for, mm.
    at_mm
        Where on the piece: along, across, up, mm.
    upwards
        Whether the gap is above the piece.
    """

    piece: int
    to: str
    gap_mm: float
    asked_mm: float
    at_mm: tuple[float, float, float]
    upwards: bool

    def sentence(self) -> str:
        """Return it in words."""
        side = "below" if self.upwards else "from"
        asked = f", {self.asked_mm:g} asked" if self.asked_mm else ""
        return f"Piece {self.piece} is {self.gap_mm:.1f} mm {side} the {self.to}{asked}."


def tight_places(task: BallastTask, plan: Plan, most: int = 4) -> tuple[TightPlace, ...]:
    """Return the smallest gaps, those nearest to their clearance first; one a thing.

    Parameters
    ----------
    task
        What was asked.
    plan
        What goes where.
    most
        How many are told.
    """
    tightest: dict[str, TightPlace] = {}
    for placement in plan.placements:
        for place in gaps_of(task.cavity, placement):
            known = tightest.get(place.to)
            if known is None or place.gap_mm < known.gap_mm:
                tightest[place.to] = place
    return tuple(sorted(tightest.values(), key=lambda one: one.gap_mm - one.asked_mm)[:most])


def gaps_of(cavity: Cavity, piece: Placement) -> Iterator[TightPlace]:
    """Yield the gap between a piece and each thing that is beside or above it."""
    yield from _walls(cavity, piece)
    for surface in cavity.ceiling:
        yield from _below(surface, piece) if surface.kind == "profile" else _beside(surface, piece)
    for keep_out in cavity.keep_outs:
        yield from _keep_out(keep_out, piece)


def _ends(piece: Placement) -> tuple[tuple[float, float], ...]:
    lows = (piece.x_mm, piece.y_mm, piece.z_mm)
    return tuple((low, low + size) for low, size in zip(lows, piece.size_mm, strict=True))


def _middle(piece: Placement) -> tuple[float, float, float]:
    x, y, z = (sum(ends) / 2.0 for ends in _ends(piece))
    return (x, y, z)


def _walls(cavity: Cavity, piece: Placement) -> Iterator[TightPlace]:
    (x_low, x_high), (y_low, y_high), _ = _ends(piece)
    x, y, z = _middle(piece)
    for name, gap, at in (
        ("rear wall", x_low - cavity.x_mm[0], (x_low, y, z)),
        ("front wall", cavity.x_mm[1] - x_high, (x_high, y, z)),
        ("right wall", y_low - cavity.y_mm[0], (x, y_low, z)),
        ("left wall", cavity.y_mm[1] - y_high, (x, y_high, z)),
    ):
        yield TightPlace(piece.number, name, gap, cavity.wall_clearance_mm, at, upwards=False)


def _below(surface: Ceiling, piece: Placement) -> Iterator[TightPlace]:
    if surface.from_mm is None or surface.to_mm is None:
        return
    (x0, z0), (x1, z1) = sorted((tuple(surface.from_mm), tuple(surface.to_mm)))
    (low, high), _, (_, top) = _ends(piece)
    first, last = max(low, x0), min(high, x1)
    if last - first <= _TOUCH_MM:
        return
    heights = {x: z0 + (z1 - z0) * (x - x0) / (x1 - x0) for x in (first, last)}
    x = min(heights, key=lambda place: heights[place])
    at = (x, _middle(piece)[1], top)
    yield TightPlace(
        piece.number, surface.name, heights[x] - top, surface.clearance_mm, at, upwards=True
    )


def _beside(surface: Ceiling, piece: Placement) -> Iterator[TightPlace]:
    _, across, (_, top) = _ends(piece)
    above = max(top - (surface.z_from_mm or 0.0), 0.0)
    half = (surface.half_width_mm or 0.0) - (surface.lean or 0.0) * above
    outer = max(across, key=abs)
    at = (_middle(piece)[0], outer, top)
    yield TightPlace(
        piece.number, surface.name, half - abs(outer), surface.clearance_mm, at, upwards=False
    )


def _keep_out(keep_out: KeepOut, piece: Placement) -> Iterator[TightPlace]:
    """Yield the gap sideways where piece and keep-out share a height; else nothing."""
    along, across, (_, top) = _ends(piece)
    low, high = keep_out.z_mm or (None, None)
    foot = piece.z_mm - piece.tape_mm
    shared = min(top, math.inf if high is None else high) - max(
        foot, -math.inf if low is None else low
    )
    if shared <= _TOUCH_MM:
        return
    if isinstance(keep_out.x_mm, tuple) and isinstance(keep_out.y_mm, tuple):
        x, far_x = _nearest(along, (keep_out.x_mm[0], keep_out.x_mm[1]))
        y, far_y = _nearest(across, (keep_out.y_mm[0], keep_out.y_mm[1]))
        gap = math.hypot(far_x, far_y)
    elif isinstance(keep_out.x_mm, tuple) or isinstance(keep_out.y_mm, tuple):
        return
    else:
        x = min(max(keep_out.x_mm, along[0]), along[1])
        y = min(max(keep_out.y_mm, across[0]), across[1])
        gap = math.hypot(x - keep_out.x_mm, y - keep_out.y_mm) - (keep_out.radius_mm or 0.0)
    at = (x, y, _middle(piece)[2])
    yield TightPlace(piece.number, keep_out.name, gap, keep_out.clearance_mm, at, upwards=False)


def _nearest(own: tuple[float, float], its: tuple[float, float]) -> tuple[float, float]:
    """Return the place on a piece nearest to a box, along one axis, and how far it is."""
    if own[1] < its[0]:
        return own[1], its[0] - own[1]
    if own[0] > its[1]:
        return own[0], own[0] - its[1]
    return (max(own[0], its[0]) + min(own[1], its[1])) / 2.0, 0.0
