"""What must hold of tests at the bench in an exported bench, and of gate times."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from hillbench.errors import Problem
from hillbench.records.bench_file import BenchFile
from hillbench.records.file_bench_tests import CoastOut, SpinDown
from hillbench.records.quantities import check_range

GATE_TIME_RANGE_S: Final = (0.001, 3600.0, "s")
"""A gate stands below the start line, and no hill takes an hour."""


def bench_test_notes(bench: BenchFile) -> Mapping[str, list[str]]:
    """Return what was typed with each test, by the part of the file."""
    return {
        "spin_downs": [test.note for test in bench.spin_downs],
        "spin_downs.lubricant": [test.lubricant for test in bench.spin_downs],
        "roll_tests": [test.note for test in bench.roll_tests],
        "coast_outs": [test.note for test in bench.coast_outs],
        "coast_outs.surface": [test.surface for test in bench.coast_outs],
        "rub_checks": [test.note for test in bench.rub_checks],
    }


def check_bench_tests(bench: BenchFile) -> Iterator[Problem]:
    """Yield what the app would not have let anyone enter."""
    for index, spin in enumerate(bench.spin_downs):
        yield from _check_spins(f"spin_downs[{index}]", spin)
    track_of = {version.id: version.track_id for version in bench.track_versions}
    for index, test in enumerate(bench.coast_outs):
        yield from _check_coast_out(f"coast_outs[{index}]", test, track_of)
    gates = {version.id: version.geometry.gates_at_m for version in bench.track_versions}
    for index, run in enumerate(bench.timed_runs):
        where = f"timed_runs[{index}].gate_times_s"
        at_m = gates.get(run.track_version_id, [])
        yield from check_gate_times(run.gate_times_s or (), at_m, run.finish_time_s, where)


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
        yield Problem(where, f"{len(gate_times_s)} times", allowed, "leave out what was not read")
        return
    taken = sorted(
        (at_m, number, time_s)
        for number, (at_m, time_s) in enumerate(zip(gates_at_m, gate_times_s, strict=False))
        if time_s is not None
    )
    before, earlier = 0.0, "the start"
    for _, number, time_s in taken:
        name = f"gate {number + 1}"
        problems = check_range(f"{where}[{number}]", time_s, GATE_TIME_RANGE_S)
        yield from problems
        if not problems and time_s <= before:
            allowed = f"after {earlier} ({before:g} s)"
            yield Problem(
                f"{where}[{number}]", f"{time_s:g} s", allowed, "check which gate is which"
            )
        before, earlier = time_s, name
    if taken and finish_time_s is not None and before >= finish_time_s:
        allowed = f"before the finish ({finish_time_s:g} s)"
        yield Problem(f"{where}[{taken[-1][1]}]", f"{before:g} s", allowed, "check which is which")


def _check_spins(where: str, spin: SpinDown) -> Iterator[Problem]:
    count = len(spin.stop_times_s)
    if len(spin.start_turns_per_s) not in {0, 1, count}:
        seen = f"{len(spin.start_turns_per_s)} speeds"
        yield Problem(f"{where}.start_turns_per_s", seen, f"none, one, or {count}, one a spin")
    if len(spin.turns) not in {0, count}:
        yield Problem(
            f"{where}.turns", f"{len(spin.turns)} counts", f"none, or {count}, one a spin"
        )


def _check_coast_out(where: str, test: CoastOut, track_of: Mapping[int, int]) -> Iterator[Problem]:
    if test.track_version_id is None:
        if test.track_id is not None or test.entry_speed_m_s is None or not test.surface:
            seen = "without a track version"
            yield Problem(
                where, seen, "a named flat surface and an entry speed, or a track version"
            )
    elif track_of.get(test.track_version_id) != test.track_id:
        allowed = f"a version of track {test.track_id}"
        yield Problem(f"{where}.track_version_id", str(test.track_version_id), allowed)
