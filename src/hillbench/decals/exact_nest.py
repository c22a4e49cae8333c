"""Lay boxes on a given number of sheets, or prove that it cannot be done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True)
class _Box:
    """A box in the model: its place, its size as it stands and its intervals."""

    x: Any
    y: Any
    wide: Any
    high: Any
    across: Any
    down: Any
    turned: Any


def exact_nest(
    boxes: Sequence[Box], room: Room, sheets: int, limit_s: float
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
    limit_s
        Most time for the search, s.

    Notes
    -----
    The sheets stand side by side on one strip; a box may begin only where it does not straddle
    two of them. Constraint programming with no-overlap in two dimensions and, redundantly, the
    sum of heights over each place along the strip (OR-Tools CP-SAT; of the settings tried,
    energetic reasoning and timetabling without linear relaxation alone put sheets together that
    were cut into 14 pieces).
    """
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    lain = [_add_box(model, cp_model.Domain, box, room, sheets) for box in boxes]
    across, down = [one.across for one in lain], [one.down for one in lain]
    model.add_no_overlap_2d(across, down)
    model.add_cumulative(across, [one.high for one in lain], room.down)
    model.add_cumulative(down, [one.wide for one in lain], sheets * room.across)
    _break_ties(model, boxes, lain)
    solver = cp_model.CpSolver()
    settings = solver.parameters
    settings.max_time_in_seconds, settings.num_workers, settings.random_seed = limit_s, 1, 1
    settings.use_energetic_reasoning_in_no_overlap_2d = True
    settings.use_area_energetic_reasoning_in_no_overlap_2d = True
    settings.use_timetabling_in_no_overlap_2d = True
    settings.linearization_level = 0
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return Verdict.IMPOSSIBLE, ()
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Verdict.OPEN, ()
    return Verdict.FOUND, tuple(_read(solver, one, room) for one in lain)


def _add_box(model: Any, domain: Any, box: Box, room: Room, sheets: int) -> _Box:  # noqa: ANN401 (the solver is untyped)
    stances = [one for one in box.stances() if one[0] <= room.across and one[1] <= room.down]
    turned = model.new_bool_var("turned")
    least = min(min(one[:2]) for one in stances)
    x = model.new_int_var(0, sheets * room.across - least, "x")
    y = model.new_int_var(0, room.down - least, "y")
    wide = model.new_int_var_from_domain(domain.from_values([one[0] for one in stances]), "wide")
    high = model.new_int_var_from_domain(domain.from_values([one[1] for one in stances]), "high")
    for width, height, is_turned in stances:
        stands = turned if is_turned else turned.negated()
        begins = [[k * room.across, (k + 1) * room.across - width] for k in range(sheets)]
        places = domain.from_intervals(begins)
        model.add_linear_expression_in_domain(x, places).only_enforce_if(stands)
        model.add(y <= room.down - height).only_enforce_if(stands)
        model.add(wide == width).only_enforce_if(stands)
        model.add(high == height).only_enforce_if(stands)
    if len(stances) == 1:
        model.add(turned == int(stances[0][2]))
    right = model.new_int_var(0, sheets * room.across, "right")
    bottom = model.new_int_var(0, room.down, "bottom")
    across = model.new_interval_var(x, wide, right, "across")
    down = model.new_interval_var(y, high, bottom, "down")
    return _Box(x, y, wide, high, across, down, turned)


def _break_ties(model: Any, boxes: Sequence[Box], lain: Sequence[_Box]) -> None:  # noqa: ANN401 (the solver is untyped)
    """Order boxes of the same kind from left to right."""
    last: dict[Box, _Box] = {}
    for box, one in zip(boxes, lain, strict=True):
        if box in last:
            model.add(last[box].x <= one.x)
        last[box] = one


def _read(solver: Any, one: _Box, room: Room) -> Laid:  # noqa: ANN401 (the solver is untyped)
    x, y = solver.value(one.x), solver.value(one.y)
    return Laid(x // room.across, x % room.across, y, bool(solver.value(one.turned)))
