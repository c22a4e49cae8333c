"""The inside of a car as a builder measures it with a caliper."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Ceiling:
    """A surface that limits the height: a line seen from the side, or a leaning side wall.

    Attributes
    ----------
    name
        What it is called in sentences.
    kind
        ``profile`` (straight between two (x, z) ends) or ``side`` (narrows with height).
    from_mm, to_mm
        Ends of a profile, (x, z), mm; the profile limits the height between their x only.
    half_width_mm
        Half the width of the inside up to `z_from_mm`, mm (side).
    z_from_mm
        Height at which the wall begins to lean, mm (side).
    lean
        How much the half-width shrinks for each mm of height above that (side).
    clearance_mm
        Room to be left below a profile or beside a wall, mm.
    """

    name: str
    kind: str
    from_mm: tuple[float, ...] | None = field(default=None, metadata={"key": "from"})
    to_mm: tuple[float, ...] | None = field(default=None, metadata={"key": "to"})
    half_width_mm: float | None = None
    z_from_mm: float | None = None
    lean: float | None = None
    clearance_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class KeepOut:
    """A part of the inside that must stay free: a post, an axle, a seat that is kept.

    It takes a column of the cavity: what is below or above it is not used, whichever leaves
    more room. A piece may rest on it only where it stands on the floor and its clearance is 0.

    Attributes
    ----------
    name
        What it is called in sentences.
    shape
        ``box`` or ``cylinder`` (upright).
    x_mm, y_mm
        Box: its two ends along and across, mm. Cylinder: its centre, mm.
    z_mm
        Its two heights, mm; null is down to the floor or up to the ceiling.
    radius_mm
        Radius of a cylinder, mm.
    clearance_mm
        Room to be left all around, mm.
    """

    name: str
    shape: str
    x_mm: float | tuple[float, ...]
    y_mm: float | tuple[float, ...]
    z_mm: tuple[float | None, ...] | None = None
    radius_mm: float | None = None
    clearance_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Cavity:
    """The inside of a car: x forward from the rear axle, y to the left, z up from the track.

    Attributes
    ----------
    x_mm, y_mm
        The two ends along and across, mm.
    floor_z_mm
        Height of the floor, mm.
    ceiling
        Surfaces above and beside.
    keep_outs
        What must stay free.
    wall_clearance_mm
        Room to be left along the four walls, mm.
    """

    x_mm: tuple[float, ...]
    y_mm: tuple[float, ...]
    floor_z_mm: float
    ceiling: tuple[Ceiling, ...]
    keep_outs: tuple[KeepOut, ...] = ()
    wall_clearance_mm: float = 0.0
