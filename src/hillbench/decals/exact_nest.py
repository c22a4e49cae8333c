"""Lay boxes on a given number of sheets, or prove that it cannot be done."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from typing import Any, Final

from hillbench.decals.boxes import Box, Laid, Room

MOST_BOXES: Final = 45
"""More boxes than this are left to the quick way: the proof would take too long."""


class Verdict(StrEnum):
    """How the search ended."""

    FOUND = "found"
    IMPOSSIBLE = "impossible"
    OPEN = "open"


def exact_nest(
    boxes: Sequence[Box], room: Room, sheets: int, effort: float
) -> tuple[Verdict, tuple[Laid, ...]]:
    """Return a way to lay all boxes on `sheets` sheets, or that there is none.

    Parameters
    ----------
    boxes
        The boxes.
    room
        Usable part of a sheet.
    sheets
        Number of sheets.
    effort
        Limit in the solver's own deterministic units (about a second each).

    Notes
    -----
    The sheets stand side by side on one strip; a box may begin only where it does not straddle
    two of them. Constraint programming with no-overlap in two dimensions (OR-Tools CP-SAT).
    """
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    lain = [_stances(model, cp_model, box, room, sheets) for box in boxes]
    every = [stance for stances in lain for stance in stances]
    model.add_no_overlap_2d([one[3] for one in every], [one[4] for one in every])
    _break_ties(model, boxes, lain)
    solver = cp_model.CpSolver()
    solver.parameters.max_deterministic_time = effort
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.use_energetic_reasoning_in_no_overlap_2d = True
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return Verdict.IMPOSSIBLE, ()
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Verdict.OPEN, ()
    return Verdict.FOUND, tuple(_read(solver, stances, room) for stances in lain)


_Stance = tuple[Any, Any, Any, Any, Any, bool]


def _stances(model: Any, kit: Any, box: Box, room: Room, sheets: int) -> list[_Stance]:  # noqa: ANN401 (the solver is untyped)
    found: list[_Stance] = []
    for wide, high, turned in box.stances():
        if wide > room.across or high > room.down:
            continue
        begins = [[k * room.across, (k + 1) * room.across - wide] for k in range(sheets)]
        x = model.new_int_var_from_domain(kit.Domain.from_intervals(begins), "x")
        y = model.new_int_var(0, room.down - high, "y")
        used = model.new_bool_var("used")
        across = model.new_optional_fixed_size_interval_var(x, wide, used, "across")
        down = model.new_optional_fixed_size_interval_var(y, high, used, "down")
        found.append((used, x, y, across, down, turned))
    model.add_exactly_one([one[0] for one in found])
    return found


def _break_ties(model: Any, boxes: Sequence[Box], lain: Sequence[list[_Stance]]) -> None:  # noqa: ANN401 (the solver is untyped)
    """Order boxes of the same kind that cannot be turned from left to right."""
    last: dict[Box, list[_Stance]] = {}
    for box, stances in zip(boxes, lain, strict=True):
        if box in last and len(stances) == 1:
            model.add(last[box][0][1] <= stances[0][1])
        last[box] = stances


def _read(solver: Any, stances: list[_Stance], room: Room) -> Laid:  # noqa: ANN401 (the solver is untyped)
    used = next(one for one in stances if solver.value(one[0]))
    x, y = solver.value(used[1]), solver.value(used[2])
    return Laid(x // room.across, x % room.across, y, used[5])
