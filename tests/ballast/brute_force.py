"""Every plan of a tiny car, tried one by one: slow, simple, and in no way like the solver.

It works in millimetres and grams from the task itself, piece by piece and cell by cell, and
knows neither height maps nor classes of placements.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from hillbench.ballast.cavity import Ceiling, KeepOut
from hillbench.ballast.task import BallastTask

EPS = 1e-7


@dataclass(frozen=True)
class Piece:
    """One piece that may be used; of the cuts of a strip, or the dabs of putty, only one."""

    kind: int
    group: int
    mass_g: float
    size_mm: tuple[float, ...]
    lie_flat: bool = False
    carries: bool = True
    putty: bool = False
    cut: bool = False


@dataclass(frozen=True)
class Box:
    """A piece at its place."""

    piece: Piece
    low: tuple[float, float, float]
    size: tuple[float, float, float]
    layer: int
    mass_g: float = 0.0


@dataclass
class Found:
    """The best score and how many plans were looked at."""

    scores: set[tuple[int, int, int, int]] = field(default_factory=set)
    plans: int = 0

    def best(self) -> tuple[int, int, int, int]:
        """Return mass, window and height at their least, then pieces within 0.05 mm of it."""
        mass, window, height, _ = min(self.scores)
        near = [s for s in self.scores if s[0] == mass and s[1] == window and s[2] <= height + 5]
        return mass, window, height, min(s[3] for s in near)


class TooManyPlans(Exception):
    """The car is not tiny enough."""


class Car:
    """A tiny car on its grid."""

    def __init__(self, task: BallastTask, pieces: list[Piece], most_plans: int = 100_000) -> None:
        self.task = task
        self.most_plans = most_plans
        self.pieces = pieces
        self.grid = task.grid_mm
        wall = task.cavity.wall_clearance_mm
        self.x0, self.nx = self._centred(task.cavity.x_mm, wall)
        self.y0, self.ny = self._centred(task.cavity.y_mm, wall)
        self.found = Found()
        self.cells = {(i, j): self._column(i, j) for i in range(self.nx) for j in range(self.ny)}
        self.target_g = task.limit_g - task.scale_guard_g

    def _centred(self, ends: tuple[float, ...], wall: float) -> tuple[float, int]:
        low, high = ends[0] + wall, ends[1] - wall
        count = math.floor((high - low) / self.grid + EPS)
        rest = round((high - low - count * self.grid) * 10)
        return low + rest // 2 / 10, max(count, 0)

    def _column(self, i: int, j: int) -> tuple[float, float, float | None]:
        """Return floor, ceiling and the height on which a piece may rest, of one cell."""
        xs = (self.x0 + i * self.grid, self.x0 + (i + 1) * self.grid)
        ys = (self.y0 + j * self.grid, self.y0 + (j + 1) * self.grid)
        base = self.task.cavity.floor_z_mm
        tops = [top for s in self.task.cavity.ceiling if (top := _top(s, xs, ys)) is not None]
        floor, top = base, min(tops) if tops else -math.inf
        rest: float | None = base
        for keep_out in self.task.cavity.keep_outs:
            if not _near(keep_out, xs, ys):
                continue
            assert keep_out.z_mm is not None
            low, high = keep_out.z_mm
            if low is None and high is not None:
                up = high + keep_out.clearance_mm
                if up > floor + EPS:
                    floor, rest = up, None
                flush = abs(up - floor) < EPS and keep_out.clearance_mm == 0
                if flush and _carries(keep_out, xs, ys):
                    rest = up
            elif low is not None and high is None:
                top = min(top, low - keep_out.clearance_mm)
            else:
                floor, rest = math.inf, None
        return floor, math.floor(top * 10 + 1e-6) / 10 if top > -1e9 else top, rest

    def search(self) -> Found:
        """Try every plan."""
        self._extend([], 0)
        return self.found

    def _extend(self, boxes: list[Box], start: int) -> None:
        """Score the boxes, then add each further piece everywhere.

        A piece that carries another must come before it, so pieces are taken layer by layer:
        the order of the list is (layer, number of the piece).
        """
        self._score(boxes)
        last = boxes[-1] if boxes else None
        used = {id(box.piece) for box in boxes}
        cut = {box.piece.group for box in boxes if box.piece.cut}
        for layer in range(last.layer if last else 1, 4):
            first = start if last and layer == last.layer else 0
            for number in range(first, len(self.pieces)):
                piece = self.pieces[number]
                if id(piece) in used or piece.group in cut:
                    continue
                for box in self._everywhere(piece, layer, boxes):
                    self._extend([*boxes, box], number + 1)

    def _everywhere(self, piece: Piece, layer: int, boxes: list[Box]) -> Iterator[Box]:
        heights: set[float] = set()
        if layer == 1:
            heights = {rest for _, _, rest in self.cells.values() if rest is not None}
        else:
            heights = {
                round(b.low[2] + b.size[2], 4)
                for b in boxes
                if b.layer == layer - 1 and b.piece.carries
            }
        for size in _turns(piece):
            wide, deep = self._needs(size[0]), self._needs(size[1])
            for i in range(self.nx - wide + 1):
                for j in range(self.ny - deep + 1):
                    for z in heights:
                        low = (self.x0 + i * self.grid, self.y0 + j * self.grid, z)
                        box = Box(piece, low, size, layer)
                        if self._allowed(box, (i, j, wide, deep), boxes):
                            yield box

    def _needs(self, length: float) -> int:
        return math.ceil(length / self.grid - EPS)

    def _allowed(self, box: Box, span: tuple[int, int, int, int], boxes: list[Box]) -> bool:
        i, j, wide, deep = span
        z, top = box.low[2], box.low[2] + box.size[2]
        under = [self.cells[i + a, j + b] for a in range(wide) for b in range(deep)]
        if any(floor > z + EPS or ceiling < top - EPS for floor, ceiling, _ in under):
            return False
        if any(_overlap(box, other) for other in boxes):
            return False
        if box.layer == 1:
            return self._rests_on_floor(box, under)
        return any(self._rests_on(box, other) for other in boxes if other.layer == box.layer - 1)

    def _rests_on_floor(self, box: Box, under: list[tuple[float, float, float | None]]) -> bool:
        z = box.low[2]
        resting = sum(1 for *_, rest in under if rest is not None and abs(rest - z) < EPS)
        if resting < self.task.floor_support * len(under) - EPS:
            return False
        middle = [box.low[axis] + box.size[axis] / 2 for axis in range(2)]
        for (i, j), (_, _, rest) in self.cells.items():
            inside = (
                abs(self.x0 + (i + 0.5) * self.grid - middle[0]) <= self.grid / 2 + EPS
                and abs(self.y0 + (j + 0.5) * self.grid - middle[1]) <= self.grid / 2 + EPS
            )
            if inside and (rest is None or abs(rest - z) > EPS):
                return False
        return True

    def _rests_on(self, box: Box, below: Box) -> bool:
        if not below.piece.carries or abs(below.low[2] + below.size[2] - box.low[2]) > EPS:
            return False
        for axis in range(2):
            hang = math.floor(box.size[axis] * 10 * self.task.max_overhang + 1e-6) / 10
            if box.low[axis] < below.low[axis] - hang - EPS:
                return False
            if box.low[axis] + box.size[axis] > below.low[axis] + below.size[axis] + hang + EPS:
                return False
        return True

    def _score(self, boxes: list[Box]) -> None:
        """Keep mass, window, height and number as whole bands, by their definitions."""
        self.found.plans += 1
        if self.found.plans > self.most_plans:
            raise TooManyPlans
        fixed = self.task.fixed
        mass = sum(f.mass_g for f in fixed) + sum(
            b.piece.mass_g for b in boxes if not b.piece.putty
        )
        if mass > self.target_g + EPS:
            return
        weights = []
        for box in boxes:
            weight = box.piece.mass_g
            if box.piece.putty:
                weight = min(weight, self.target_g - mass)
            weights.append(weight)
        mass += sum(w for w, b in zip(weights, boxes, strict=True) if b.piece.putty)
        moments = [0.0, 0.0, 0.0]
        for f in fixed:
            for axis, at in enumerate((f.x_mm, f.y_mm, f.z_mm)):
                moments[axis] += f.mass_g * at
        for weight, box in zip(weights, boxes, strict=True):
            for axis in range(3):
                moments[axis] += weight * (box.low[axis] + box.size[axis] / 2)
        band = math.floor((self.target_g - mass) / 0.010 + EPS)
        nominal = self.target_g - 0.010 * band
        low, high = (s * self.task.wheelbase_mm for s in self.task.cg.window_ahead_of_rear_axle)
        low, high = math.ceil(low * 100 - 1e-6) / 100, math.floor(high * 100 + 1e-6) / 100
        outside = max(0.0, low * mass - moments[0], moments[0] - high * mass)
        if self.task.cg.side_max_mm is not None:
            outside = max(outside, abs(moments[1]) - self.task.cg.side_max_mm * mass)
        self.found.scores.add(
            (
                band,
                math.ceil(outside / (0.02 * nominal) - EPS),
                math.floor(moments[2] / (0.01 * nominal) + EPS),
                len(boxes),
            )
        )


def _turns(piece: Piece) -> set[tuple[float, float, float]]:
    sizes = piece.size_mm
    found = set()
    for up in range(3):
        if piece.putty and up < 2:
            continue
        if piece.lie_flat and not piece.putty and sizes[up] > min(sizes) + EPS:
            continue
        a, b = (sizes[axis] for axis in range(3) if axis != up)
        found |= {(a, b, sizes[up]), (b, a, sizes[up])}
    return found


def _overlap(box: Box, other: Box) -> bool:
    return all(
        box.low[axis] < other.low[axis] + other.size[axis] - EPS
        and other.low[axis] < box.low[axis] + box.size[axis] - EPS
        for axis in range(3)
    )


def _top(surface: Ceiling, xs: tuple[float, float], ys: tuple[float, float]) -> float | None:
    """Return the least height of a surface over a cell, None where it is not above it."""
    if surface.kind == "side":
        assert surface.half_width_mm is not None
        assert surface.z_from_mm is not None
        outer = max(abs(ys[0]), abs(ys[1])) + surface.clearance_mm
        if outer > surface.half_width_mm + EPS:
            return -math.inf
        if not surface.lean:
            return None
        return surface.z_from_mm + (surface.half_width_mm - outer) / surface.lean
    assert surface.from_mm is not None
    assert surface.to_mm is not None
    (xa, za), (xb, zb) = surface.from_mm, surface.to_mm
    heights = [
        za + (zb - za) * (x - xa) / (xb - xa)
        for x in (max(xs[0], min(xa, xb)), min(xs[1], max(xa, xb)))
    ]
    if min(xs[1], max(xa, xb)) - max(xs[0], min(xa, xb)) < EPS:
        return None
    return min(heights) - surface.clearance_mm


def _carries(keep_out: KeepOut, xs: tuple[float, float], ys: tuple[float, float]) -> bool:
    """Return whether all four corners of a cell lie on a keep-out."""
    for x in xs:
        for y in ys:
            if isinstance(keep_out.x_mm, tuple):
                assert isinstance(keep_out.y_mm, tuple)
                on = (
                    keep_out.x_mm[0] - EPS <= x <= keep_out.x_mm[1] + EPS
                    and keep_out.y_mm[0] - EPS <= y <= keep_out.y_mm[1] + EPS
                )
            else:
                assert isinstance(keep_out.y_mm, float | int)
                assert keep_out.radius_mm is not None
                reach = math.hypot(x - keep_out.x_mm, y - keep_out.y_mm)
                on = reach <= keep_out.radius_mm + EPS
            if not on:
                return False
    return True


def _near(keep_out: KeepOut, xs: tuple[float, float], ys: tuple[float, float]) -> bool:
    gap = keep_out.clearance_mm
    if keep_out.shape == "box":
        assert isinstance(keep_out.x_mm, tuple)
        assert isinstance(keep_out.y_mm, tuple)
        (xa, xb), (ya, yb) = keep_out.x_mm, keep_out.y_mm
        return (
            xs[1] > xa - gap + EPS
            and xs[0] < xb + gap - EPS
            and ys[1] > ya - gap + EPS
            and ys[0] < yb + gap - EPS
        )
    assert isinstance(keep_out.x_mm, float | int)
    assert isinstance(keep_out.y_mm, float | int)
    assert keep_out.radius_mm is not None
    dx = max(xs[0] - keep_out.x_mm, keep_out.x_mm - xs[1], 0.0)
    dy = max(ys[0] - keep_out.y_mm, keep_out.y_mm - ys[1], 0.0)
    return math.hypot(dx, dy) < keep_out.radius_mm + gap - EPS
