"""How long the proof of a ballast plan takes: ``python -m benchmarks.ballast`` writes its page.

Ten invented cars, each with our search on two threads, then with one plain model over all
placements on two threads, in the same run.
"""

from __future__ import annotations

import math
import platform
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.layout import Layout
from hillbench.ballast.packing import Found
from hillbench.ballast.places import Posed, pose
from hillbench.ballast.solve import solve
from hillbench.ballast.sums import sums_of
from hillbench.ballast.whole import Whole
from tests.ballast.realistic_cars import CARS

PAGE = Path(__file__).parents[1] / "docs" / "benchmarks-ballast.md"
LIMIT_S = 20.0


@dataclass(frozen=True)
class Instant:
    """A moment, by the wall clock and by the processor time of all threads, s."""

    wall_s: float
    cpu_s: float


@dataclass
class Times:
    """When what was known of one car; missing where the limit came first."""

    name: str
    pieces: int
    first: Instant | None = None
    ours: dict[Level, Instant] = field(default_factory=dict)
    plain: dict[Level, Instant] = field(default_factory=dict)


def stopwatch() -> Callable[[], Instant]:
    """Return a watch that runs from now on."""
    wall, cpu = time.perf_counter(), time.process_time()
    return lambda: Instant(time.perf_counter() - wall, time.process_time() - cpu)


def measure(name: str, limit_s: float) -> Times:
    """Time one car; the limit is one of processor time, so that other work does not count."""
    task = CARS[name]
    times = Times(name, sum(piece.count for piece in task.stock))
    watch = stopwatch()
    posed = pose(task)

    def first(_: Layout) -> None:
        times.first = times.first or watch()

    def settled(level: Level) -> None:
        times.ours.setdefault(level, watch())

    solve(posed, Deadline(lambda: limit_s - watch().cpu_s), first, settled)
    _plain(posed, times, limit_s)
    return times


def _plain(posed: Posed, times: Times, limit_s: float) -> None:
    watch, settled = stopwatch(), Settled()
    sums = sums_of(posed)
    for level in Level:
        left_s = limit_s - watch().cpu_s
        if left_s <= 0.0:
            return
        # Two threads use up processor time twice as fast as the wall clock runs.
        verdict = Whole(sums, level, settled).solve(Deadline(lambda: left_s / 2.0, workers=2))  # noqa: B023
        if verdict.found is not Found.YES:
            return
        times.plain[level] = watch()
        settled = settled.after(level, verdict.bound)


def seconds(value: Instant | None, limit_s: float) -> str:
    """Return processor time and, in brackets, wall time."""
    return f"over {limit_s:g}" if value is None else f"{value.cpu_s:.2f} ({value.wall_s:.2f})"


def middle(values: list[Instant | None], limit_s: float) -> str:
    """Return median and worst processor time, those not proven counted as longer than any."""
    numbers = sorted(math.inf if value is None else value.cpu_s for value in values)
    median = statistics.median(numbers)
    text = f"over {limit_s:g}" if median > limit_s else f"{median:.2f}"
    worst = f"over {limit_s:g}" if None in values else f"{numbers[-1]:.2f}"
    return f"{text}, worst {worst}"


def page(rows: list[Times], limit_s: float) -> str:
    """Return the page of what was measured."""
    lines = [
        "# Benchmarks: ballast",
        "",
        "Written by `python -m benchmarks.ballast`: ten invented cars of 8 kinds and 15 to 20",
        f"pieces each, grid 0.5 mm, on {platform.machine()} with Python"
        f" {platform.python_version()}, two cores, at most {limit_s:g} s of",
        "processor time each. Times are seconds of processor time of all threads from the task to",
        "the proof, and in brackets those of the wall clock, which other work on the machine makes",
        "longer; on two idle cores it shows less than the processor time. *Plain* is one CP-SAT",
        "model over all placements, level by level, on two threads in the same run. Import of the",
        "solver (about 1 s, once) is not in them.",
        "",
        "| car | pieces | first plan | mass | mass and window | height | all levels"
        " | plain, mass and window | plain, all levels |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    for row in rows:
        cells = [
            row.name,
            str(row.pieces),
            seconds(row.first, limit_s),
            *(seconds(row.ours.get(level), limit_s) for level in Level),
            *(seconds(row.plain.get(level), limit_s) for level in (Level.WINDOW, Level.PIECES)),
        ]
        lines.append("| " + " | ".join(cells) + " |")
    lines += ["", "| what, s of processor time | median | asked, wall clock |", "|---|---|---|"]
    lines.append(f"| first plan | {middle([row.first for row in rows], limit_s)} | 0.3 |")
    asked = {Level.WINDOW: "median 1, worst 5", Level.PIECES: "median 3"}
    for level in Level:
        text = middle([row.ours.get(level) for row in rows], limit_s)
        lines.append(f"| proven up to {level.name.lower()} | {text} | {asked.get(level, '')} |")
    for level in (Level.WINDOW, Level.PIECES):
        words = f"| plain over ours, up to {level.name.lower()}"
        lines.append(f"{words} | {ratio(rows, level, limit_s)} | 5 |")
    return "\n".join(lines) + "\n"


def ratio(rows: list[Times], level: Level, limit_s: float) -> str:
    """Return how many times longer the plain model takes, at its limit at least."""
    proven = [row for row in rows if level in row.ours]
    ratios = [
        (row.plain[level].cpu_s if level in row.plain else limit_s) / row.ours[level].cpu_s
        for row in proven
    ]
    if not ratios:
        return "none proven"
    open_ = sum(level not in row.plain for row in proven)
    return (
        f"{statistics.median(ratios):.1f}, over {len(ratios)} cars proven, of which the plain"
        f" model did not prove {open_} (counted as {limit_s:g} s)"
    )


def main() -> None:
    limit_s = float(sys.argv[1]) if len(sys.argv) > 1 else LIMIT_S
    solve(pose(CARS["open car"]), Deadline(lambda: 0.0))
    rows = []
    for name in CARS:
        rows.append(measure(name, limit_s))
        print(rows[-1], flush=True)
    PAGE.write_text(page(rows, limit_s), encoding="utf-8")
    print(PAGE.read_text(encoding="utf-8"))


if __name__ == "__main__":
    main()
