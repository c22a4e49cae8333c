"""Nesting: all pieces on as few sheets as possible, with a proof of how few there can be."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from hillbench.decals.boxes import Box, Laid, Room
from hillbench.decals.exact_nest import MOST_BOXES, Verdict, exact_nest
from hillbench.decals.greedy_nest import greedy_nest
from hillbench.decals.group_nest import Bundle, bundle, unbundle
from hillbench.decals.nest_bound import least_sheets
from hillbench.decals.sheet_size import SheetSize
from hillbench.errors import InvalidInput, Problem

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_UNITS_PER_MM: Final = 100.0
PROOF_S: Final = 4.0
"""Most time for a search for fewer sheets, s."""

TURNS: Final = ("none", "quarter", "any")


@dataclass(frozen=True, slots=True)
class Outline:
    """A piece to be laid.

    Attributes
    ----------
    shape
        What is cut out, mm.
    grain_fixed
        Whether it must not be turned.
    group
        Pieces of one group lie together; empty for none.
    """

    shape: BaseGeometry = field(repr=False)
    grain_fixed: bool = False
    group: str = ""


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a piece lies.

    Attributes
    ----------
    sheet
        Number of the sheet, from 0.
    turn_deg
        Turn clockwise about the origin of its shape, degrees.
    x_mm, y_mm
        How far it is moved after that, mm from the upper left corner of the sheet.
    """

    sheet: int
    turn_deg: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Nesting:
    """Pieces on sheets.

    Attributes
    ----------
    spots
        In the order of the pieces.
    sheets
        Number of sheets.
    bound
        Number that no way of laying these boxes goes below, proven.
    used_fraction
        Area of the pieces over the usable area of the sheets.
    parted
        Groups too large to lie on one sheet.
    """

    spots: tuple[Spot, ...]
    sheets: int
    bound: int
    used_fraction: float
    parted: tuple[str, ...] = ()

    @property
    def is_proven(self) -> bool:
        """Whether it is proven that there are no fewer sheets."""
        return self.sheets == self.bound


def nest(
    outlines: Sequence[Outline],
    sheet: SheetSize,
    gap_mm: float,
    turns: str = "quarter",
    *,
    most_sheets: int | None = None,
    proof_s: float = PROOF_S,
) -> Nesting:
    """Return where every piece lies.

    Parameters
    ----------
    outlines
        The pieces.
    sheet
        Paper and the margins that the printer cannot reach.
    gap_mm
        Least distance between pieces, mm.
    turns
        ``none``, ``quarter``, or ``any``: each outline is first turned to its smallest box.
    most_sheets
        Sheets there are; None for any number.
    proof_s
        Most time for each search for fewer sheets, s.

    Raises
    ------
    InvalidInput
        If a piece is larger than a sheet, or more sheets are needed than there are.
    """
    room = _room(sheet, gap_mm)
    leans = [_lean_deg(one, turns) for one in outlines]
    shapes = [_turned(one.shape, lean) for one, lean in zip(outlines, leans, strict=True)]
    boxes = [
        _box(shape, gap_mm, turnable=turns != "none" and not one.grain_fixed)
        for one, shape in zip(outlines, shapes, strict=True)
    ]
    _require_fit(boxes, room, sheet)
    bundles, parted = bundle(boxes, [one.group for one in outlines], room)
    laid, bound = _lay([one.box for one in bundles], boxes, room, proof_s)
    spread = _spread(bundles, laid, len(boxes))
    sheets = max((one.sheet for one in spread), default=-1) + 1
    if most_sheets is not None and sheets > most_sheets:
        seen = f"{len(outlines)} pieces, which take {sheets} sheets (at least {bound})"
        allowed = f"what fits on {most_sheets}"
        raise InvalidInput([Problem("items", seen, allowed, "make fewer, or take more paper")])
    spots = tuple(
        _spot(shape, lean, where, sheet)
        for shape, lean, where in zip(outlines, leans, spread, strict=True)
    )
    area = sum(float(one.shape.area) for one in outlines)
    used = area / (sheets * sheet.usable_area_mm2) if sheets else 0.0
    return Nesting(spots, sheets, bound, used, parted)


def _lay(
    blocks: Sequence[Box], boxes: Sequence[Box], room: Room, proof_s: float
) -> tuple[tuple[Laid, ...], int]:
    """Return where the blocks lie and a bound for the boxes in them."""
    laid = greedy_nest(blocks, room)
    sheets = max((one.sheet for one in laid), default=-1) + 1
    bound = least_sheets(boxes, room)
    while bound < sheets and len(blocks) <= MOST_BOXES:
        verdict, better = exact_nest(blocks, room, sheets - 1, proof_s)
        if verdict is Verdict.FOUND:
            laid, sheets = better, sheets - 1
            continue
        if verdict is Verdict.IMPOSSIBLE and len(blocks) == len(boxes):
            bound = sheets
        break
    return laid, bound


def _spread(bundles: Sequence[Bundle], laid: Sequence[Laid], count: int) -> list[Laid]:
    found: dict[int, Laid] = {}
    for one, where in zip(bundles, laid, strict=True):
        found |= unbundle(one, where)
    return [found[at] for at in range(count)]


def _room(sheet: SheetSize, gap_mm: float) -> Room:
    return Room(
        math.floor((sheet.usable_width_mm + gap_mm) * _UNITS_PER_MM),
        math.floor((sheet.usable_height_mm + gap_mm) * _UNITS_PER_MM),
    )


def _box(shape: BaseGeometry, gap_mm: float, *, turnable: bool) -> Box:
    left, top, right, bottom = shape.bounds
    across = math.ceil((right - left + gap_mm) * _UNITS_PER_MM - 1e-6)
    down = math.ceil((bottom - top + gap_mm) * _UNITS_PER_MM - 1e-6)
    return Box(across, down, turnable)


def _require_fit(boxes: Sequence[Box], room: Room, sheet: SheetSize) -> None:
    problems = [
        Problem(
            f"items[{at}]",
            f"{box.across / _UNITS_PER_MM:.1f} × {box.down / _UNITS_PER_MM:.1f} mm large",
            f"what fits {sheet.usable_width_mm:.1f} × {sheet.usable_height_mm:.1f} mm of a sheet",
            "make it smaller, or take larger paper",
        )
        for at, box in enumerate(boxes)
        if not room.holds(box)
    ]
    if problems:
        raise InvalidInput(problems)


def _lean_deg(one: Outline, turns: str) -> float:
    """Return the turn that gives an outline its smallest box."""
    if turns != "any" or one.grain_fixed:
        return 0.0
    ring = list(one.shape.minimum_rotated_rectangle.exterior.coords)
    (x0, y0), (x1, y1) = ring[0], ring[1]
    lean = -math.degrees(math.atan2(y1 - y0, x1 - x0)) % 90.0
    return lean if _smaller(one.shape, lean) else 0.0


def _smaller(shape: BaseGeometry, lean_deg: float) -> bool:
    def area(one: BaseGeometry) -> float:
        left, top, right, bottom = one.bounds
        return float((right - left) * (bottom - top))

    return area(_turned(shape, lean_deg)) < 0.999 * area(shape)


def _turned(shape: BaseGeometry, turn_deg: float) -> BaseGeometry:
    from shapely import affinity

    return affinity.rotate(shape, turn_deg, origin=(0.0, 0.0)) if turn_deg else shape


def _spot(one: Outline, lean_deg: float, laid: Laid, sheet: SheetSize) -> Spot:
    turn_deg = lean_deg + (90.0 if laid.turned else 0.0)
    left, top, _, _ = _turned(one.shape, turn_deg).bounds
    x = sheet.margin_left_mm + laid.x / _UNITS_PER_MM - left
    y = sheet.margin_top_mm + laid.y / _UNITS_PER_MM - top
    return Spot(laid.sheet, turn_deg, x, y)
