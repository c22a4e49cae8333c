"""A plan as the builder reads it: placements in millimetres, steps and scale readings."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hillbench.ballast.layout import Laid, Layout
from hillbench.ballast.places import Posed

SHIFT_MM = 0.5
"""By how much a piece may be off when it is laid by hand, for the sensitivity line."""


@dataclass(frozen=True, slots=True)
class Placement:
    """One piece at its place.

    Attributes
    ----------
    number
        Its number in building order, from 1.
    name
        As in the stock; ``putty`` for a dab.
    x_mm, y_mm, z_mm
        Its low corner: rearmost, rightmost, lowest, mm.
    size_mm
        Its size along, across and up as placed, mm.
    mass_g
        Its mass, g.
    layer
        1 on the floor, 2 on a piece, 3 on a piece on a piece.
    parent
        Number of the piece that carries it; 0 on the floor.
    rests_on
        What carries it, in words.
    tape_mm
        Thickness of the tape between it and what carries it, mm.
    cut_mm
        Length to which a strip is cut, mm; 0 for anything else.
    shape
        ``box`` or ``cylinder``.
    """

    number: int
    name: str
    x_mm: float
    y_mm: float
    z_mm: float
    size_mm: tuple[float, float, float]
    mass_g: float
    layer: int
    parent: int
    rests_on: str
    tape_mm: float = 0.0
    cut_mm: float = 0.0
    shape: str = "box"


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole car with its ballast.

    Attributes
    ----------
    placements
        Pieces in building order; a dab of putty is the last.
    total_g
        Mass of the whole car, g.
    cg_ahead_of_rear_axle_mm, cg_side_mm, cg_height_mm
        Its centre of gravity, mm.
    sensitivity_mm
        How far the centre of gravity moves along the car when every piece lies 0.5 mm off,
        mm.
    """

    placements: tuple[Placement, ...]
    total_g: float
    cg_ahead_of_rear_axle_mm: float
    cg_side_mm: float
    cg_height_mm: float
    sensitivity_mm: float

    @property
    def putty(self) -> Placement | None:
        """The dab of putty, if there is one."""
        last = self.placements[-1] if self.placements else None
        return last if last is not None and last.name == "putty" else None


def plan_of(posed: Posed, layout: Layout) -> Plan:
    """Return a layout as a plan."""
    order = _building_order(posed, layout)
    number = {index: place + 1 for place, index in enumerate(order)}
    placements: list[Placement] = []
    for index in order:
        placements.append(_placement(posed, layout, index, number, placements))
    mass_mg, moments = layout.mass_mg, layout.moments
    added_g = sum(piece.mass_mg for piece in layout.laid) / 1000.0
    return Plan(
        placements=tuple(placements),
        total_g=mass_mg / 1000.0,
        cg_ahead_of_rear_axle_mm=moments[0] / mass_mg / 100.0,
        cg_side_mm=moments[1] / mass_mg / 100.0,
        cg_height_mm=moments[2] / mass_mg / 100.0,
        sensitivity_mm=added_g * SHIFT_MM / (mass_mg / 1000.0),
    )


def _building_order(posed: Posed, layout: Layout) -> list[int]:
    """Return pieces layer by layer from the rear, the putty last."""
    laid = layout.laid
    return sorted(
        range(len(laid)),
        key=lambda i: (
            posed.kind(laid[i].place).is_putty,
            laid[i].place.layer,
            laid[i].along,
            laid[i].across,
        ),
    )


def _placement(
    posed: Posed, layout: Layout, index: int, number: dict[int, int], before: list[Placement]
) -> Placement:
    piece: Laid = layout.laid[index]
    kind, room = posed.kind(piece.place), posed.room
    length, width = piece.extent
    rise = piece.place.lay.rise - kind.tape
    parent = number[piece.parent] if piece.parent >= 0 else 0
    return Placement(
        number=number[index],
        name=kind.name,
        x_mm=(room.x_low + room.step * piece.along) / 10.0,
        y_mm=(room.y_low + room.step * piece.across) / 10.0,
        z_mm=(piece.place.z + kind.tape) / 10.0,
        size_mm=(length / 10.0, width / 10.0, rise / 10.0),
        mass_g=piece.mass_mg / 1000.0,
        layer=piece.place.layer,
        parent=parent,
        rests_on="floor" if parent == 0 else f"{before[parent - 1].name} (piece {parent})",
        tape_mm=kind.tape / 10.0,
        cut_mm=kind.cut_mm,
        shape="cylinder" if kind.cylinder else "box",
    )


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do at the bench.

    Attributes
    ----------
    number
        Its number, from 1; that of the piece it lays.
    text
        What to do, in one sentence.
    scale_reads_g
        What the scale shows after it, with the whole car on it, g.
    """

    number: int
    text: str
    scale_reads_g: float


def steps_of(plan: Plan, bare_g: float) -> tuple[Step, ...]:
    """Return what to do in building order, with the reading of the scale after each.

    Parameters
    ----------
    plan
        The plan.
    bare_g
        Mass of the car without its ballast, g.
    """
    steps, mass_g = [], bare_g
    for placement in plan.placements:
        mass_g += placement.mass_g
        steps.append(Step(placement.number, _sentence(placement, mass_g), round(mass_g, 3)))
    return tuple(steps)


def _sentence(placement: Placement, reads_g: float) -> str:
    where = "on the floor" if placement.parent == 0 else f"on piece {placement.parent}"
    if placement.name == "putty":
        return (
            f"Press a dab of putty of {placement.mass_g:.2f} g {where}, {_along(placement)} and "
            f"{_across(placement)}; add it little by little and stop at {reads_g:.2f} g."
        )
    length, width, rise = placement.size_mm
    lie = "flat" if rise <= min(length, width) else "on edge"
    if placement.shape == "cylinder":
        lie = "upright" if abs(length - width) < 1e-9 and rise != length else "on its side"
    way = "along" if length >= width else "across"
    first = (
        f"Cut {placement.cut_mm:g} mm of {placement.name} and lay it"
        if placement.cut_mm
        else (f"Lay the {placement.name}")
    )
    tape = "" if placement.tape_mm else "; strip any backing first"
    return (
        f"{first} {lie}, {way} the car, {where}: {_along(placement)}, {_across(placement)}{tape}."
    )


def _along(placement: Placement) -> str:
    rear = placement.x_mm
    side = "ahead of" if rear >= 0.0 else "behind"
    return f"its rear edge {abs(rear):.1f} mm {side} the rear axle"


def _across(placement: Placement) -> str:
    left = placement.y_mm + placement.size_mm[1]
    if math.isclose(left, placement.size_mm[1] / 2.0, abs_tol=0.05):
        return "centred across"
    side = "left" if left >= 0.0 else "right"
    return f"its left edge {abs(left):.1f} mm {side} of the centre line"
