"""Convex bodies in space: their faces, how they look from a side, and which hides which."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

Place = tuple[float, float, float]
Flat = tuple[float, float]

_TOUCH_MM: Final = 1e-6
_SIDES: Final = 20
_CORNERS: Final = 4


@dataclass(frozen=True, slots=True)
class Face:
    """One flat side of a body.

    Attributes
    ----------
    corners
        In order around it, mm.
    outward
        Where it faces.
    curved
        Whether it stands for a part of something round.
    """

    corners: tuple[Place, ...]
    outward: Place
    curved: bool = False

    @property
    def side(self) -> str:
        """Whether it is a ``top``, a ``side`` (left or right) or an ``end``."""
        x, y, z = (abs(part) for part in self.outward)
        return "top" if z >= max(x, y) else "side" if y >= x else "end"


@dataclass(frozen=True, slots=True)
class Solid:
    """A convex body.

    Attributes
    ----------
    name
        What it is.
    kind
        Begins the style of its faces: ``piece`` or ``post``.
    low, high
        Corners of the box around it, mm.
    faces
        All its faces.
    label
        Words on top of it; may be empty.
    """

    name: str
    kind: str
    low: Place
    high: Place
    faces: tuple[Face, ...]
    label: str = ""


@dataclass(frozen=True, slots=True)
class Look:
    """From where a scene is seen: far away, so that parallel stays parallel.

    Attributes
    ----------
    turn_deg
        How far the scene is turned about the upright axis, degrees.
    tilt_deg
        How far from above it is seen, degrees; 90 is straight down.
    """

    turn_deg: float
    tilt_deg: float

    def flat(self, place: Place) -> Flat:
        """Return where a place appears: to the right and upwards, mm.

        Notes
        -----
        Orthographic projection: a turn about z, then one about the line across the view.
        """
        x, y, z = place
        turn, tilt = math.radians(self.turn_deg), math.radians(self.tilt_deg)
        deep = x * math.sin(turn) + y * math.cos(turn)
        return (
            x * math.cos(turn) - y * math.sin(turn),
            z * math.cos(tilt) + deep * math.sin(tilt),
        )

    @property
    def inward(self) -> Place:
        """Direction in which the viewer looks."""
        turn, tilt = math.radians(self.turn_deg), math.radians(self.tilt_deg)
        return (
            math.sin(turn) * math.cos(tilt),
            math.cos(turn) * math.cos(tilt),
            -math.sin(tilt),
        )

    def sees(self, face: Face) -> bool:
        """Return whether a face is turned to the viewer."""
        facing = sum(a * b for a, b in zip(face.outward, self.inward, strict=True))
        return facing < -_TOUCH_MM

    def order(self, solids: Sequence[Solid]) -> list[Solid]:
        """Return bodies that do not overlap in an order in which nearer ones hide farther ones.

        Notes
        -----
        Two bodies apart along an axis have a plane between them; the one on the far side
        cannot hide the other. What this leaves open is settled by distance (painter's
        algorithm; M. E. Newell, R. G. Newell, T. L. Sancha, "A solution to the hidden surface
        problem", Proc. ACM National Conf. 1972).
        """
        left, ordered = list(solids), []
        while left:
            free = [one for one in left if not any(self._hides(one, other) for other in left)]
            farthest = max(free or left, key=self._distance_mm)
            left.remove(farthest)
            ordered.append(farthest)
        return ordered

    def _hides(self, near: Solid, far: Solid) -> bool:
        """Return whether `far` has to be drawn before `near`."""
        return near is not far and self._beyond(far, near) and not self._beyond(near, far)

    def _beyond(self, far: Solid, near: Solid) -> bool:
        for way, far_low, far_high, low, high in zip(
            self.inward, far.low, far.high, near.low, near.high, strict=True
        ):
            if way > _TOUCH_MM and far_low >= high - _TOUCH_MM:
                return True
            if way < -_TOUCH_MM and far_high <= low + _TOUCH_MM:
                return True
        return False

    def _distance_mm(self, solid: Solid) -> float:
        return sum(
            way * (low + high) / 2.0
            for way, low, high in zip(self.inward, solid.low, solid.high, strict=True)
        )


def box(name: str, kind: str, low: Place, high: Place, label: str = "") -> Solid:
    """Return a box."""
    ring = ((low[0], low[1]), (high[0], low[1]), (high[0], high[1]), (low[0], high[1]))
    faces = tuple(_prism(ring, low[2], high[2], lambda a, b, c: (a, b, c)))
    return Solid(name, kind, low, high, faces, label)


def cylinder(name: str, kind: str, low: Place, high: Place, axis: int, label: str = "") -> Solid:
    """Return a cylinder that fills a box, its axis along 0 (x), 1 (y) or 2 (z)."""
    first, second = ((axis + 1) % 3, (axis + 2) % 3)
    centre = [(a + b) / 2.0 for a, b in zip(low, high, strict=True)]
    radii = [(b - a) / 2.0 for a, b in zip(low, high, strict=True)]
    ring = [
        (
            centre[first] + radii[first] * math.cos(math.tau * step / _SIDES),
            centre[second] + radii[second] * math.sin(math.tau * step / _SIDES),
        )
        for step in range(_SIDES)
    ]

    def place(a: float, b: float, c: float) -> Place:
        parts = [0.0, 0.0, 0.0]
        parts[first], parts[second], parts[axis] = a, b, c
        return (parts[0], parts[1], parts[2])

    faces = tuple(_prism(ring, low[axis], high[axis], place))
    return Solid(name, kind, low, high, faces, label)


def _prism(
    ring: Sequence[Flat],
    low: float,
    high: float,
    place: Callable[[float, float, float], Place],
) -> Iterator[Face]:
    """Yield the faces of a prism over a ring that runs counterclockwise."""
    yield Face(tuple(place(a, b, high) for a, b in ring), place(0.0, 0.0, 1.0))
    yield Face(tuple(place(a, b, low) for a, b in ring), place(0.0, 0.0, -1.0))
    for (a, b), (c, d) in zip(ring, (*ring[1:], ring[0]), strict=True):
        corners = (place(a, b, low), place(c, d, low), place(c, d, high), place(a, b, high))
        length = math.hypot(c - a, d - b) or 1.0
        outward = place((d - b) / length, (a - c) / length, 0.0)
        yield Face(corners, outward, curved=len(ring) > _CORNERS)
