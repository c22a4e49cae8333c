"""How even schedules are: ``python -m benchmarks.racing`` writes docs/racing-schedules.md.

Every size of 4 to 40 cars, 2 to 6 lanes and 1 to 3 rounds is drawn with both orders of aims, so
that the page says where the bound of the meetings is reached. Then, what drawing, ranking and the
study of formats take.
"""

from __future__ import annotations

import platform
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np

from hillbench.racing.field import Field
from hillbench.racing.schedule import Schedule, draw_schedule
from hillbench.racing.study import study_formats
from hillbench.racing.timed_result import HeatTime, rank_by_time

PAGE = Path(__file__).parents[1] / "docs" / "racing-schedules.md"
CARS = range(4, 41)
LANES = range(2, 7)
ROUNDS = (1, 2, 3)
SEED = 0


def sizes() -> Iterator[tuple[int, int, int]]:
    """Yield cars, lanes and rounds of the sweep: 546 sizes."""
    for cars in CARS:
        for lanes in LANES:
            if cars >= lanes:
                yield from ((cars, lanes, rounds) for rounds in ROUNDS)


def sweep(*, meet_equally: bool) -> dict[tuple[int, int, int], Schedule]:
    return {
        size: draw_schedule(*size, rng=np.random.default_rng(SEED), meet_equally=meet_equally)
        for size in sizes()
    }


def mark(schedule: Schedule) -> str:
    """Return one cell: at the bound, proven best without it, or by how much it spreads."""
    if schedule.meetings.at_bound:
        return "="
    spread = schedule.meetings.most - schedule.meetings.least
    return f"{spread}!" if schedule.exact else str(spread)


def table(found: dict[tuple[int, int, int], Schedule]) -> list[str]:
    lines = ["| cars | " + " | ".join(f"{lanes} lanes" for lanes in LANES) + " |"]
    lines.append("|---" * (len(LANES) + 1) + "|")
    for cars in CARS:
        cells = [
            " ".join(mark(found[cars, lanes, rounds]) for rounds in ROUNDS) if cars >= lanes else ""
            for lanes in LANES
        ]
        lines.append(f"| {cars} | " + " | ".join(cells) + " |")
    return lines


def summary(found: dict[tuple[int, int, int], Schedule]) -> str:
    reached = sum(one.meetings.at_bound for one in found.values())
    lanes = sum(
        all(count == one.rounds for row in one.lane_counts for count in row)
        for one in found.values()
    )
    proven = sum(one.exact and not one.meetings.at_bound for one in found.values())
    spreads = [one.meetings.most - one.meetings.least for one in found.values()]
    rested = [one for one in found.values() if one.cars >= 2 * one.lanes + 1]
    free = sum(one.back_to_back == 0 for one in rested)
    return (
        f"Lanes exactly equal in {lanes} of {len(found)} sizes; meetings at their bound in"
        f" {reached}, proven best without it in {proven}; largest spread {max(spreads)};"
        f" no car twice running in {free} of the {len(rested)} sizes of 2 lanes + 1 cars or more."
    )


def best_of(action: Callable[[], object], repeats: int) -> float:
    times = []
    for _ in range(repeats):
        began = time.perf_counter()
        action()
        times.append(time.perf_counter() - began)
    return min(times)


def speeds() -> list[tuple[str, float]]:
    rng = np.random.default_rng(SEED)

    def draw(cars: int, lanes: int, rounds: int) -> Callable[[], object]:
        return lambda: draw_schedule(cars, lanes, rounds, rng=np.random.default_rng(SEED))

    found = [
        (f"heats of {size[0]} cars, {size[1]} lanes, {size[2]} rounds", best_of(draw(*size), 3))
        for size in ((16, 4, 1), (24, 6, 3), (40, 4, 1), (200, 8, 1), (200, 8, 3))
    ]
    for cars, lanes in ((16, 4), (40, 4), (200, 6)):
        rows = invented(draw_schedule(cars, lanes, rng=rng), rng)
        ranked = best_of(lambda rows=rows: rank_by_time(rows, rng=rng), 2)  # type: ignore[misc]
        found.append((f"ranking of {cars} cars on {lanes} lanes", ranked))
    for cars in (16, 40, 200):
        studied = best_of(lambda cars=cars: study_formats(Field(cars, 4), rng=rng), 2)  # type: ignore[misc]
        found.append((f"all formats for {cars} cars on 4 lanes", studied))
    return found


def invented(schedule: Schedule, rng: np.random.Generator) -> list[HeatTime]:
    car_s = rng.normal(10.5, 0.1, schedule.cars + 1)
    return [
        HeatTime(number, lane, car, float(car_s[car] + rng.normal(0.0, 0.05)))
        for number, heat in enumerate(schedule.heats, start=1)
        for lane, car in enumerate(heat, start=1)
        if car
    ]


def calibration(cars: int, meets: int = 200) -> tuple[float, float, float, float]:
    """Return odds claimed for the winner, share that were right, and coverage of two intervals."""
    rng = np.random.default_rng(SEED)
    heats = draw_schedule(cars, 4, rng=rng).heats
    claimed, right, lanes, gaps = [], [], [], []
    for _ in range(meets):
        car_s, lane_s = rng.normal(0.0, 0.10, cars), rng.normal(0.0, 0.03, 4)
        result = rank_by_time(timed_rows(heats, car_s, lane_s, rng), rng=rng)
        first = result.standings[0]
        claimed.append(first.fastest_probability)
        right.append(car_s[first.car - 1] == car_s.min())
        true_s = lane_s - lane_s.mean()
        lanes += [one.low_s < true_s[one.lane - 1] < one.high_s for one in result.lanes]
        typical = {one.car: one.typical_time_s or 0.0 for one in result.standings}
        mean_s = np.mean(list(typical.values()))
        gaps += [
            abs(typical[one.car] - mean_s - car_s[one.car - 1] + car_s.mean())
            < 1.645 * (one.standard_uncertainty_s or 0.0)
            for one in result.standings
        ]
    return tuple(float(np.mean(one)) for one in (claimed, right, lanes, gaps))  # type: ignore[return-value]


def timed_rows(
    heats: tuple[tuple[int, ...], ...],
    car_s: np.ndarray,
    lane_s: np.ndarray,
    rng: np.random.Generator,
) -> list[HeatTime]:
    """Return one meet: run SD 0.05 s, heats 0.02 s, 5 % bad by 0.3 s, 1 % without a finish."""
    rows = []
    for number, heat in enumerate(heats, start=1):
        same_s = 10.5 + rng.normal(0.0, 0.02)
        for lane, car in enumerate(heat, start=1):
            time_s = same_s + car_s[car - 1] + lane_s[lane - 1] + rng.normal(0.0, 0.05)
            time_s += rng.exponential(0.3) * (rng.random() < 0.05)
            lost = rng.random() < 0.01
            rows.append(HeatTime(number, lane, car, None if lost else float(time_s)))
    return rows


def calibration_rows() -> list[str]:
    rows = []
    for cars in (5, 9, 16, 30):
        claimed, right, lanes, gaps = calibration(cars)
        rows.append(f"| {cars} | {claimed:.2f} | {right:.2f} | {lanes:.0%} | {gaps:.0%} |")
    return rows


def page() -> str:
    rest, equal = sweep(meet_equally=False), sweep(meet_equally=True)
    legend = (
        "A cell has one mark for each of 1, 2 and 3 rounds: `=` each pair meets as often as the"
        " mean, rounded down or up; a number is by how much the meetings spread where that was not"
        " reached, with `!` where nothing better exists for these aims, proven."
    )
    return "\n".join(
        [
            "# How even the schedules are",
            "",
            f"Written by `python -m benchmarks.racing` with Python {platform.python_version()} on"
            f" {platform.system()}, {platform.machine()}.",
            legend,
            "",
            "## Rest before equal meetings (the default)",
            "",
            summary(rest),
            "",
            *table(rest),
            "",
            "## Equal meetings before rest",
            "",
            summary(equal),
            "",
            *table(equal),
            "",
            "## Odds and intervals",
            "",
            "200 invented meets of one round on four lanes: cars 0.10 s, lanes 0.03 s, heats",
            "0.02 s, runs 0.05 s, 5 % slowed by 0.3 s on average, 1 % without a finish. The odds",
            "of the first in the ranking to be the fastest should be the share of cases in which",
            "it was; the 90 % intervals should hold the truth in 90 %.",
            "",
            "| cars | odds claimed | was the fastest | lanes within | gaps of cars within |",
            "|---|---|---|---|---|",
            *calibration_rows(),
            "",
            "## Times",
            "",
            "Least of a few goes, everything loaded and compiled.",
            "",
            "| what | s |",
            "|---|---|",
            *(f"| {what} | {seconds:.2f} |" for what, seconds in speeds()),
            "",
        ]
    )


if __name__ == "__main__":
    text = page()
    PAGE.write_text(text, encoding="utf-8")
    print(text)
