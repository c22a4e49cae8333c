"""A piece in the whole model: the classes it may take, its corner and its edges."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from hillbench.ballast.places import Place, Posed
from hillbench.ballast.rectangles import Rectangle, bounds, cover

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """One class of placements, turned or not, that a piece may take.

    Attributes
    ----------
    place
        The class.
    turned
        Whether turned by a quarter.
    taken
        Literal of its being taken.
    """

    place: Place
    turned: bool
    taken: Any

    @property
    def edges(self) -> tuple[int, int]:
        """Edges along and across the car."""
        lay = self.place.lay
        return (lay.broad, lay.long) if self.turned else (lay.long, lay.broad)


@dataclass(slots=True)
class Copy:
    """One piece that may be used.

    Attributes
    ----------
    ways
        What it may take.
    corner
        Cell of its low corner.
    extent, cells
        Its edges along and across, in tenths of a mm and in cells.
    heights
        Heights of its underside and its top.
    present
        Literal of its being used.
    hangs
        How far it may hang over.
    sides
        Literals of its corner lying below or from some cell.
    """

    ways: list[Way]
    corner: tuple[Any, Any]
    extent: tuple[Any, Any]
    cells: tuple[Any, Any]
    heights: tuple[Any, Any]
    present: Any
    hangs: tuple[Any, Any]
    sides: dict[tuple[int, str, int], Any] = field(default_factory=dict)


def add_copy(model: cp_model.CpModel, posed: Posed, places: list[Place]) -> Copy:
    """Add one piece that may take any of some classes, or be left out.

    Parameters
    ----------
    model
        The model to add to.
    posed
        What is allowed.
    places
        Classes that it may take.
    """
    cells, hang = posed.cells, posed.hang
    shape = posed.room.floor.shape
    ways = [
        Way(place, turned, model.new_bool_var(""))
        for place in places
        for turned in (False, True)
        if place.masks[turned].any() and not (turned and place.lay.long == place.lay.broad)
    ]
    present = model.new_bool_var("")
    model.add(sum(way.taken for way in ways) == present)
    copy = Copy(
        ways=ways,
        corner=(model.new_int_var(0, shape[0], ""), model.new_int_var(0, shape[1], "")),
        extent=_chosen(ways, lambda way: way.edges),
        cells=_chosen(ways, lambda way: (cells(way.edges[0]), cells(way.edges[1]))),
        heights=_chosen(ways, lambda way: (way.place.z, way.place.top)),
        present=present,
        hangs=_chosen(ways, lambda way: (hang(way.edges[0]), hang(way.edges[1]))),
    )
    for axis in range(2):
        model.add(copy.corner[axis] == 0).only_enforce_if(~present)
    for way in ways:
        _allow(model, copy, way)
    return copy


def _allow(model: cp_model.CpModel, copy: Copy, way: Way) -> None:
    """Keep the corner inside what a way allows."""
    mask = way.place.masks[way.turned]
    span = bounds(mask)
    for axis in range(2):
        model.add_linear_constraint(
            copy.corner[axis], span[2 * axis], span[2 * axis + 1] - 1
        ).only_enforce_if(way.taken)
    inner = mask[span[0] : span[1], span[2] : span[3]]
    for x0, x1, y0, y1 in cover(~inner):
        hole = (x0 + span[0], x1 + span[0], y0 + span[2], y1 + span[2])
        model.add_bool_or([*_beside(model, copy, hole), ~way.taken])


def _beside(model: cp_model.CpModel, copy: Copy, hole: Rectangle) -> list[cp_model.IntVar]:
    """Return the literals of a corner lying on each side of a hole."""
    literals = []
    for axis in range(2):
        for side, limit in (("below", hole[2 * axis]), ("from", hole[2 * axis + 1])):
            key = (axis, side, limit)
            if key not in copy.sides:
                literal = model.new_bool_var("")
                corner = copy.corner[axis]
                bound = corner < limit if side == "below" else corner >= limit
                model.add(bound).only_enforce_if(literal)
                copy.sides[key] = literal
            literals.append(copy.sides[key])
    return literals


def _chosen(ways: list[Way], values: Callable[[Way], tuple[int, int]]) -> tuple[Any, Any]:
    """Return the pair of values of the way that is taken; zero where none is."""
    pairs = [(way.taken, values(way)) for way in ways]
    return (
        sum(pair[0] * taken for taken, pair in pairs),
        sum(pair[1] * taken for taken, pair in pairs),
    )
