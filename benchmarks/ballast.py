"""How long the proof of a ballast plan takes: ``python -m benchmarks.ballast`` writes its page.

Ten invented cars, each with our search on two threads, then with one plain model over all
placements on two threads, in the same run.
"""

from __future__ import annotations

import platform
import statistics
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path

from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.layout import Layout
from hillbench.ballast.master import sums_of
from hillbench.ballast.packing import Found
from hillbench.ballast.places import Posed, pose
from hillbench.ballast.solve import solve
from hillbench.ballast.whole import Whole
from tests.ballast.realistic_cars import CARS

PAGE = Path(__file__).parents[1] / "docs" / "benchmarks-ballast.md"
LIMIT_S = 20.0


@dataclass
class Times:
    """What one car took, s; None where the limit came first."""

    name: str
    pieces: int
    first_s: float | None = None
    levels_s: dict[Level, float] = field(default_factory=dict)
    plain_s: dict[Level, float] = field(default_factory=dict)

    def took_s(self, level: Level) -> float | None:
        return self.levels_s.get(level)


def measure(name: str, limit_s: float) -> Times:
    """Time one car."""
    task = CARS[name]
    times = Times(name, sum(piece.count for piece in task.stock))
    began = time.perf_counter()
    posed = pose(task)

    def since(_: object) -> float:
        return time.perf_counter() - began

    def first(layout: Layout) -> None:
        times.first_s = times.first_s or since(None)
        # Nothing short and nothing outside cannot be bettered: that proves both levels.
        if layout.score.short == 0 and layout.score.outside == 0:
            times.levels_s.setdefault(Level.MASS, since(None))
            times.levels_s.setdefault(Level.WINDOW, since(None))

    def settled(level: Level) -> None:
        times.levels_s.setdefault(level, since(None))

    solve(posed, Deadline(lambda: limit_s - since(None)), first, settled)
    _plain(posed, times, limit_s)
    return times


def _plain(posed: Posed, times: Times, limit_s: float) -> None:
    began, settled = time.perf_counter(), Settled()
    deadline = Deadline(lambda: limit_s - (time.perf_counter() - began), workers=2)
    for level in Level:
        if deadline.is_over:
            return
        verdict = Whole(sums_of(posed), level, settled).solve(deadline)
        if verdict.found is not Found.YES:
            return
        times.plain_s[level] = time.perf_counter() - began
        settled = settled.after(level, verdict.bound)


def seconds(value: float | None, limit_s: float) -> str:
    return f"over {limit_s:g}" if value is None else f"{value:.2f}"


def median(values: list[float | None], limit_s: float) -> str:
    """Return median and worst, those not proven counted as longer than any."""
    numbers = sorted(limit_s if value is None else value for value in values)
    middle = statistics.median(numbers)
    text = f"over {limit_s:g}" if middle >= limit_s else f"{middle:.2f}"
    worst = f"over {limit_s:g}" if None in values else f"{numbers[-1]:.2f}"
    return f"{text}, worst {worst}"


def page(rows: list[Times], limit_s: float) -> str:
    """Return the page of what was measured."""
    lines = [
        "# Benchmarks: ballast",
        "",
        "Written by `python -m benchmarks.ballast`: ten invented cars, 8 kinds each, grid 0.5 mm,",
        f"on {platform.machine()} with Python {platform.python_version()}, two threads, at most"
        f" {limit_s:g} s each.",
        "Times are seconds from the task to the proof; *plain* is one CP-SAT model over all",
        "placements, level by level, on two threads in the same run. Import of the solver (about",
        "1 s, once) is not in them. Other work on the machine makes all of them longer.",
        "",
        "| car | pieces | first plan | mass and window | height | pieces | plain, mass"
        " | plain, all |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for row in rows:
        cells = [
            row.name,
            str(row.pieces),
            seconds(row.first_s, limit_s),
            *(seconds(row.took_s(one), limit_s) for one in list(Level)[1:]),
            seconds(row.plain_s.get(Level.MASS), limit_s),
            seconds(row.plain_s.get(Level.PIECES), limit_s),
        ]
        lines.append("| " + " | ".join(cells) + " |")
    lines += ["", "| what | median | asked |", "|---|---|---|"]
    asked = ("", "median 1, worst 5", "", "median 3")
    for level in list(Level)[1:]:
        text = median([row.took_s(level) for row in rows], limit_s)
        lines.append(f"| proven up to {level.name.lower()}, s | {text} | {asked[level]} |")
    lines.append(f"| first plan, s | {median([row.first_s for row in rows], limit_s)} | 0.3 |")
    known = [row.took_s(Level.PIECES) for row in rows]
    ratios = [
        (row.plain_s.get(Level.PIECES) or limit_s) / took
        for row, took in zip(rows, known, strict=True)
        if took is not None
    ]
    if ratios:
        least = "at least " if any(Level.PIECES not in row.plain_s for row in rows) else ""
        text = f"{least}{statistics.median(ratios):.1f}, over {len(ratios)} cars proven"
        lines.append(f"| plain model over ours, all levels | {text} | 5 |")
    return "\n".join(lines) + "\n"


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
