"""The inside of a casting as a builder measures it: a dozen caliper readings and what stays free.

Lengths along the car count forward from the rear axle, heights of readings from the floor.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Final

from hillbench.ballast.cavity import Cavity, Ceiling, KeepOut
from hillbench.ballast.outline import (
    PhotoOutline,
    outline_problems,
    place_points,
    profile_of,
    walls_of,
)
from hillbench.ballast.surfaces import surface_problems
from hillbench.errors import InvalidInput, Problem

BODY_STYLES: Final = ("saloon", "coupé", "van", "open car", "truck")
"""Where a cavity may begin from."""

_SURFACES: Final = {
    "van": ("rear end", "rear door", "roof", "windscreen", "bonnet"),
    "open car": ("deck", "rear edge of the cockpit", "sill line", "windscreen foot", "bonnet"),
    "truck": ("bed", "rear window", "cab roof", "windscreen", "bonnet"),
}
_OF_A_SALOON: Final = ("boot lid", "rear window", "roof", "windscreen", "bonnet")
_GLASS: Final = frozenset({"rear window", "windscreen", "rear door"})
_LEAST_MM: Final = 0.01


@dataclass(frozen=True, slots=True)
class CaliperReadings:
    """What a caliper reads on an open car.

    Attributes
    ----------
    wheelbase_mm
        Between the centres of the axles, mm.
    rear_overhang_mm, front_overhang_mm
        Inside, behind the rear axle and ahead of the front axle, mm.
    width_mm
        Inside, between the side walls, mm.
    floor_mm
        Floor above the track, mm.
    deck_mm, roof_mm, bonnet_mm
        Underside of boot lid or bed, of the roof and of the bonnet above the floor, mm.
    rear_glass_foot_mm, rear_glass_top_mm, windscreen_top_mm, windscreen_foot_mm
        Where rear window and windscreen begin and end, mm ahead of the rear axle.
    belt_mm
        Height above the floor from which the side glass leans inwards, mm.
    roof_width_mm
        Width of the inside at the roof, mm.
    axle_top_mm
        Top of the axles or of their cover above the floor, mm; 0 where they run below it.
    axle_along_mm
        Extent of an axle or its cover along the car, mm.
    axle_height_mm
        Centre of the axles above the track, mm.
    roof_clearance_mm, glass_clearance_mm, wall_clearance_mm, axle_clearance_mm
        Room to be left below the body, at the glass, along the walls and around the axles, mm.
    """

    wheelbase_mm: float
    rear_overhang_mm: float
    front_overhang_mm: float
    width_mm: float
    floor_mm: float
    deck_mm: float
    roof_mm: float
    bonnet_mm: float
    rear_glass_foot_mm: float
    rear_glass_top_mm: float
    windscreen_top_mm: float
    windscreen_foot_mm: float
    belt_mm: float
    roof_width_mm: float
    axle_top_mm: float = 2.5
    axle_along_mm: float = 2.6
    axle_height_mm: float = 5.2
    roof_clearance_mm: float = 0.5
    glass_clearance_mm: float = 0.5
    wall_clearance_mm: float = 0.3
    axle_clearance_mm: float = 0.5


@dataclass(frozen=True, slots=True)
class MeasuredCavity:
    """Everything that was measured of the inside of a casting.

    Attributes
    ----------
    body_style
        One of `BODY_STYLES`: names the surfaces.
    readings
        Of the caliper.
    keep_outs
        What must stay free besides the axles: posts, seats that are kept.
    outlines
        Traced on photos: seen from the side the line below body and glass, which takes the
        place of the readings of them; from above the inner wall.
    """

    body_style: str
    readings: CaliperReadings
    keep_outs: tuple[KeepOut, ...] = ()
    outlines: tuple[PhotoOutline, ...] = ()

    def outline(self, view: str) -> PhotoOutline | None:
        """Return the outline traced in a view, None where there is none."""
        return next((one for one in self.outlines if one.view == view), None)


def require_measured(measured: MeasuredCavity) -> MeasuredCavity:
    """Return it unchanged, or raise `InvalidInput` with every problem.

    The place of a problem is the name of a reading, ``keep_outs[0].x_mm`` and the like, or
    ``outline`` with its view.
    """
    problems = [*_range_problems(measured.readings), *_order_problems(measured.readings)]
    for outline in measured.outlines:
        problems += outline_problems(outline)
    if not problems:
        problems += [
            Problem(one.where.removeprefix("cavity."), one.seen, one.allowed, one.remedy)
            for one in surface_problems(cavity_of(measured))
        ]
    if problems:
        raise InvalidInput(problems)
    return measured


def cavity_of(measured: MeasuredCavity) -> Cavity:
    """Return the cavity that was measured."""
    read = measured.readings
    ends = (-read.rear_overhang_mm, read.wheelbase_mm + read.front_overhang_mm)
    sides = (-read.width_mm / 2.0, read.width_mm / 2.0)
    walls: tuple[KeepOut, ...] = ()
    above = measured.outline("above")
    if above is not None:
        points = place_points(above, read.wheelbase_mm, read.axle_height_mm)
        ends = (min(x for x, _ in points), max(x for x, _ in points))
        sides = (min(y for _, y in points), max(y for _, y in points))
        walls = walls_of(points)
    return Cavity(
        x_mm=ends,
        y_mm=sides,
        floor_z_mm=read.floor_mm,
        ceiling=(*_body(measured), *_side_glass(read)),
        keep_outs=(*_axles(read, sides), *measured.keep_outs, *walls),
        wall_clearance_mm=read.wall_clearance_mm,
    )


def _body(measured: MeasuredCavity) -> Iterator[Ceiling]:
    """Yield the surfaces above, from the rear to the front."""
    read = measured.readings
    side = measured.outline("side")
    if side is not None:
        points = place_points(side, read.wheelbase_mm, read.axle_height_mm)
        for number, (start, end) in enumerate(profile_of(points), start=1):
            yield _surface(f"body line, part {number}", start, end, read.roof_clearance_mm)
        return
    names = _SURFACES.get(measured.body_style, _OF_A_SALOON)
    line = roof_line(read)
    for name, start, end in zip(names, line, line[1:], strict=False):
        gap = read.glass_clearance_mm if name in _GLASS else read.roof_clearance_mm
        if end[0] - start[0] > _LEAST_MM:
            yield _surface(name, start, end, gap)


def roof_line(read: CaliperReadings) -> tuple[tuple[float, float], ...]:
    """Return the line below body and glass from the rear, (x, z) in mm above the track."""
    deck, roof, bonnet = (
        read.floor_mm + height for height in (read.deck_mm, read.roof_mm, read.bonnet_mm)
    )
    return (
        (-read.rear_overhang_mm, deck),
        (read.rear_glass_foot_mm, deck),
        (read.rear_glass_top_mm, roof),
        (read.windscreen_top_mm, roof),
        (read.windscreen_foot_mm, bonnet),
        (read.wheelbase_mm + read.front_overhang_mm, bonnet),
    )


def _surface(
    name: str, start: tuple[float, float], end: tuple[float, float], clearance_mm: float
) -> Ceiling:
    return Ceiling(name, "profile", _tenths(start), _tenths(end), clearance_mm=clearance_mm)


def _tenths(point: tuple[float, float]) -> tuple[float, float]:
    """Return a place without the dust of adding decimals."""
    return (round(point[0], 3), round(point[1], 3))


def _side_glass(read: CaliperReadings) -> Iterator[Ceiling]:
    rise, narrowing = read.roof_mm - read.belt_mm, (read.width_mm - read.roof_width_mm) / 2.0
    if rise > _LEAST_MM and narrowing > _LEAST_MM:
        yield Ceiling(
            "side glass",
            "side",
            half_width_mm=read.width_mm / 2.0,
            z_from_mm=round(read.floor_mm + read.belt_mm, 3),
            lean=round(narrowing / rise, 5),
            clearance_mm=read.glass_clearance_mm,
        )


def _axles(read: CaliperReadings, sides: tuple[float, float]) -> Iterator[KeepOut]:
    if read.axle_top_mm <= 0.0:
        return
    half, top = read.axle_along_mm / 2.0, round(read.floor_mm + read.axle_top_mm, 3)
    for name, x in (("rear axle", 0.0), ("front axle", read.wheelbase_mm)):
        yield KeepOut(
            name, "box", (x - half, x + half), sides, (None, top), None, read.axle_clearance_mm
        )


_RANGES: Final = {
    "wheelbase_mm": (10.0, 200.0),
    "rear_overhang_mm": (-20.0, 100.0),
    "front_overhang_mm": (-20.0, 100.0),
    "width_mm": (1.0, 100.0),
    "floor_mm": (0.0, 50.0),
    "roof_width_mm": (0.5, 100.0),
    "belt_mm": (0.0, 100.0),
    "axle_top_mm": (0.0, 50.0),
    "axle_along_mm": (0.5, 20.0),
    "axle_height_mm": (0.5, 50.0),
}
_HEIGHTS: Final = ("deck_mm", "roof_mm", "bonnet_mm")
_PLACES: Final = (
    "rear_glass_foot_mm",
    "rear_glass_top_mm",
    "windscreen_top_mm",
    "windscreen_foot_mm",
)


def _range_problems(read: CaliperReadings) -> Iterator[Problem]:
    for field in fields(read):
        value = float(getattr(read, field.name))
        if field.name in _HEIGHTS:
            if not 0.0 < value <= 100.0:
                seen = f"{value:g} mm above the floor"
                allowed = "more than 0 and at most 100 mm: above the floor, not below it"
                yield Problem(field.name, seen, allowed, "measure floor and body again")
            continue
        low, high = _RANGES.get(field.name, (0.0, 20.0))
        if field.name in _PLACES:
            low, high = -100.0, 300.0
        if not low <= value <= high:
            yield Problem(field.name, f"{value:g} mm", f"between {low:g} and {high:g} mm")


def _order_problems(read: CaliperReadings) -> Iterator[Problem]:
    """Yield where one reading does not go with another."""
    ends = (-read.rear_overhang_mm, read.wheelbase_mm + read.front_overhang_mm)
    if ends[1] - ends[0] < 1.0:
        seen = f"{ends[1] - ends[0]:g} mm long inside"
        yield Problem("rear_overhang_mm", seen, "at least 1 mm of length", "measure it again")
        return
    before, known = ends[0], "the rear end of the inside"
    for name in _PLACES:
        value = float(getattr(read, name))
        if not before - _LEAST_MM <= value <= ends[1] + _LEAST_MM:
            seen, allowed = f"{value:g} mm", f"between {before:g} mm ({known}) and {ends[1]:g} mm"
            yield Problem(name, seen, allowed, "places count forward from the rear axle")
            return
        before, known = value, name.removesuffix("_mm").replace("_", " ")
    if read.roof_width_mm > read.width_mm:
        seen, allowed = f"{read.roof_width_mm:g} mm", f"at most {read.width_mm:g} mm, the width"
        yield Problem("roof_width_mm", seen, allowed, "the sides lean inwards")
