"""Gate times of a run: what is wrong with them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from hillbench.errors import Problem
from hillbench.records.quantities import check_range

GATE_TIME_RANGE_S: Final = (0.001, 3600.0, "s")
"""A gate stands below the start line, and no hill takes an hour."""


def check_gate_times(
    gate_times_s: Sequence[float | None],
    gates_at_m: Sequence[float],
    finish_time_s: float | None,
    where: str = "gate_times_s",
) -> Iterator[Problem]:
    """Yield what is wrong with the gate times of one run.

    Parameters
    ----------
    gate_times_s
        Time at each gate in the order of `gates_at_m`, s, None for one not taken; or empty.
    gates_at_m
        Places of the gates, m.
    finish_time_s
        Finish time of the run, s; None where it has none.
    where
        Name of the field.
    """
    if len(gate_times_s) not in {0, len(gates_at_m)}:
        allowed = f"{len(gates_at_m)} times, one for each gate of the track, or none"
        seen = f"a list of {len(gate_times_s)}"
        yield Problem(where, seen, allowed, "leave out what was not read")
        return
    taken = sorted(
        (at_m, number, time_s)
        for number, (at_m, time_s) in enumerate(zip(gates_at_m, gate_times_s, strict=False))
        if time_s is not None
    )
    before, earlier = 0.0, "the start"
    for _, number, time_s in taken:
        name = f"gate {number + 1}"
        seen = f"{time_s:g} s at {name}"
        problems = check_range(f"{where}[{number}]", time_s, GATE_TIME_RANGE_S, seen)
        yield from problems
        if not problems and time_s <= before:
            allowed = f"after {earlier} ({before:g} s)"
            yield Problem(f"{where}[{number}]", seen, allowed, "check which gate is which")
        before, earlier = time_s, name
    if taken and finish_time_s is not None and before >= finish_time_s:
        allowed = f"before the finish ({finish_time_s:g} s)"
        seen = f"{before:g} s at {earlier}"
        yield Problem(f"{where}[{taken[-1][1]}]", seen, allowed, "check which is which")
