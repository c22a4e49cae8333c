"""Lay given pieces on given levels: turns, places, what rests on what, and the window."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from enum import Enum
from typing import TYPE_CHECKING, Any

from hillbench.ballast.deadline import Deadline
from hillbench.ballast.layout import Laid, in_order
from hillbench.ballast.places import Place, Posed
from hillbench.ballast.rectangles import bounds, cover, split
from hillbench.ballast.weighing import Aim, Item, edges_of, weigh

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


class Found(Enum):
    """What a search came to."""

    YES = "yes"
    NO = "no"
    OPEN = "open"


class Packing:
    """One question: whether these pieces go in.

    Parameters
    ----------
    problem
        What is allowed.
    places
        Class of each piece's placement.
    masses_mg
        Mass of each piece.
    aim
        What is asked besides room.
    """

    def __init__(
        self, problem: Posed, places: Sequence[Place], masses_mg: Sequence[int], aim: Aim
    ) -> None:
        from ortools.sat.python import cp_model

        self._problem = problem
        self._aim = aim
        self._model = cp_model.CpModel()
        self._items = [
            self._item(place, mass) for place, mass in zip(places, masses_mg, strict=True)
        ]
        self._parents: dict[int, list[tuple[int, cp_model.IntVar]]] = {}
        self._keep_apart()
        self._break_symmetry()
        self._possible = not aim.supported or self._carry()
        if aim.window_bands is not None or aim.goal != "any":
            weigh(self._model, problem, self._items, aim)

    def solve(self, deadline: Deadline) -> tuple[Found, tuple[Laid, ...]]:
        """Return whether the pieces go in, and how (empty unless they do)."""
        from ortools.sat.python import cp_model

        if not self._possible:
            return Found.NO, ()
        solver = deadline.new_solver()
        parameters: Any = solver.parameters
        # Hundreds of questions of a few milliseconds: most of that would go into preparing.
        parameters.max_presolve_iterations = 1
        parameters.cp_model_probing_level = 0
        parameters.symmetry_level = 0
        parameters.linearization_level = 0
        parameters.use_energetic_reasoning_in_no_overlap_2d = True
        parameters.use_timetabling_in_no_overlap_2d = True
        status = deadline.solve(solver, self._model)
        if status == cp_model.INFEASIBLE:
            return Found.NO, ()
        if status == cp_model.OPTIMAL or (
            status == cp_model.FEASIBLE and self._aim.goal in ("any", "polish")
        ):
            return Found.YES, self._read(solver)
        return Found.OPEN, ()

    def _item(self, place: Place, mass_mg: int) -> Item:
        model, cells = self._model, self._problem.cells
        width, depth = cells(place.lay.long), cells(place.lay.broad)
        spans = [bounds(mask) if mask.any() else None for mask in place.masks]
        known = [span for span in spans if span is not None]
        along = model.new_int_var(
            min(span[0] for span in known), max(span[1] for span in known) - 1, ""
        )
        across = model.new_int_var(
            min(span[2] for span in known), max(span[3] for span in known) - 1, ""
        )
        turned = self._turn(place, spans)
        for span, literal in zip(spans, (~turned, turned), strict=True):
            if span is not None:
                model.add_linear_constraint(along, span[0], span[1] - 1).only_enforce_if(literal)
                model.add_linear_constraint(across, span[2], span[3] - 1).only_enforce_if(literal)
        if place.floor_rule:
            self._forbid(place, (~turned, turned), (along, across))
        sizes = (width + (depth - width) * turned, depth + (width - depth) * turned)
        ends = (model.new_int_var(0, 1 << 16, ""), model.new_int_var(0, 1 << 16, ""))
        intervals = (
            model.new_interval_var(along, sizes[0], ends[0], ""),
            model.new_interval_var(across, sizes[1], ends[1], ""),
        )
        model.add(along + sizes[0] == ends[0])
        model.add(across + sizes[1] == ends[1])
        return Item(place, mass_mg, turned, along, across, ends, intervals)

    def _turn(self, place: Place, spans: Sequence[object]) -> cp_model.IntVar:
        """Return whether a piece is turned; a square one never needs to be."""
        if spans[0] is None or spans[1] is None or place.lay.long == place.lay.broad:
            return self._model.new_constant(0 if spans[0] is not None else 1)
        return self._model.new_bool_var("")

    def _forbid(self, place: Place, literals: Sequence[Any], corner: tuple[Any, Any]) -> None:
        """Keep the low corner out of every part of the mask that is not allowed."""
        model = self._model
        for mask, literal in zip(place.masks, literals, strict=True):
            for x0, x1, y0, y1 in cover(~mask) if mask.any() else []:
                sides = [model.new_bool_var("") for _ in range(4)]
                model.add(corner[0] < x0).only_enforce_if(sides[0])
                model.add(corner[0] >= x1).only_enforce_if(sides[1])
                model.add(corner[1] < y0).only_enforce_if(sides[2])
                model.add(corner[1] >= y1).only_enforce_if(sides[3])
                model.add_bool_or([*sides, ~literal])

    def _keep_apart(self) -> None:
        """Let nothing overlap in any slab between two heights where something ends."""
        levels = sorted({z for item in self._items for z in (item.place.z, item.place.top)})
        room = self._problem.room
        done: list[tuple[frozenset[int], bytes]] = []
        for low, high in itertools.pairwise(levels):
            inside = [i for i in self._items if i.place.z <= low and i.place.top >= high]
            blocked = (room.floor > low) | (room.ceiling < high)
            key = (frozenset(map(id, inside)), blocked.tobytes())
            if any(key[0] <= other[0] and key[1] == other[1] for other in done) or not inside:
                continue
            done.append(key)
            along = [item.intervals[0] for item in inside]
            across = [item.intervals[1] for item in inside]
            for x0, x1, y0, y1 in split(blocked):
                along.append(self._model.new_fixed_size_interval_var(x0, x1 - x0, ""))
                across.append(self._model.new_fixed_size_interval_var(y0, y1 - y0, ""))
            self._model.add_no_overlap_2d(along, across)

    def _break_symmetry(self) -> None:
        """Order pieces of one class along the car."""
        for first, second in itertools.pairwise(self._items):
            if first.place is second.place and first.mass_mg == second.mass_mg:
                self._model.add(first.along <= second.along)

    def _carry(self) -> bool:
        """Give each upper piece one piece that carries it; return whether there are any."""
        for number, item in enumerate(self._items):
            place = item.place
            if place.layer == 1:
                continue
            literals = []
            for other, below in enumerate(self._items):
                if self._may_carry(below.place, place):
                    literal = self._model.new_bool_var("")
                    literals.append((other, literal))
                    self._rest(item, below, literal)
            if not literals:
                return False
            self._model.add_exactly_one(literal for _, literal in literals)
            self._parents[number] = literals
        return True

    def _may_carry(self, below: Place, place: Place) -> bool:
        return (
            below.layer == place.layer - 1
            and below.top == place.z
            and self._problem.kind(below).carries
        )

    def _rest(self, item: Item, below: Item, literal: cp_model.IntVar) -> None:
        step, hang = self._problem.room.step, self._problem.hang
        for axis in range(2):
            own, its = edges_of(item, axis), edges_of(below, axis)
            over = hang(own[0]) + (hang(own[1]) - hang(own[0])) * item.turned
            length = own[0] + (own[1] - own[0]) * item.turned
            carrier = its[0] + (its[1] - its[0]) * below.turned
            low = (item.along, item.across)[axis]
            base = (below.along, below.across)[axis]
            add = self._model.add
            add(step * low >= step * base - over).only_enforce_if(literal)
            add(step * low + length <= step * base + carrier + over).only_enforce_if(literal)

    def _read(self, solver: cp_model.CpSolver) -> tuple[Laid, ...]:
        laid = []
        for number, item in enumerate(self._items):
            parents = self._parents.get(number, [])
            parent = next((i for i, literal in parents if solver.boolean_value(literal)), -1)
            laid.append(
                Laid(
                    item.place,
                    solver.boolean_value(item.turned),
                    solver.value(item.along),
                    solver.value(item.across),
                    parent,
                    item.mass_mg,
                )
            )
        return in_order(laid)
