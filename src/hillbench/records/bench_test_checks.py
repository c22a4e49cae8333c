"""What must hold of tests at the bench in an exported bench, and of gate times."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from hillbench.errors import Problem
from hillbench.records.bench_file import BenchFile
from hillbench.records.file_bench_tests import CoastOut, SpinDown
from hillbench.records.gate_times import check_gate_times


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
