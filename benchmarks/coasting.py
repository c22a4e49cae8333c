"""How fast and how exact runs are: ``python -m benchmarks.coasting`` writes docs/benchmarks.md.

Everything is measured in one go on one core, so that the ratios hold whatever the machine.
"""

from __future__ import annotations

import dataclasses
import platform
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from benchmarks.peak import divisions_and_roots_per_s, multiply_adds_per_s
from benchmarks.plain_run import PlainRun
from hillbench.coasting.batch import coast_batch
from hillbench.coasting.car_batch import CarBatch
from hillbench.coasting.panels import PANEL_LENGTH_M, lay_panels
from hillbench.coasting.run import coast
from tests.outside.hills import SLOW_BANKS, WINDING, random_cars
from tests.outside.reference_run import integrate

PAGE = Path(__file__).parents[1] / "docs" / "benchmarks.md"
BATCH = 200_000
REFERENCE_CARS = 32

# Counted in `kernel._advance` with `_step` inlined, for each panel of each car.
MULTIPLY_ADDS = 84
DIVISIONS_AND_ROOTS = 5


@dataclasses.dataclass(frozen=True)
class Figures:
    """What one go measured."""

    error_s: float
    error_slow_banks_s: float
    runs_per_s: float
    runs_per_s_load: float
    runs_per_s_mixed: float
    ns_per_panel: float
    panels: int
    one_car_s: float
    batch_of_one_s: float
    plain_s: float
    plain_error_s: float
    flops_per_s: float
    roots_per_s: float


def best_of(action: Callable[[], object], repeats: int) -> float:
    """Return the least time of several, s."""
    times = []
    for _ in range(repeats):
        began = time.process_time()
        action()
        times.append(time.process_time() - began)
    return min(times)


def measure() -> Figures:
    cars, losses = random_cars(REFERENCE_CARS, 64)
    plain_losses = [dataclasses.replace(loss, bearing_load_exponent=0.0) for loss in losses]
    expected = integrate(WINDING, cars, losses).times_s
    plain_expected = integrate(WINDING, cars[:8], plain_losses[:8]).times_s[-1]
    expected_slow = integrate(SLOW_BANKS, cars, losses).times_s
    small = CarBatch.of(cars, losses)
    got = coast_batch(WINDING, small)
    got_slow = coast_batch(SLOW_BANKS, small)
    plains = [PlainRun(WINDING, *pair) for pair in zip(cars[:8], plain_losses[:8], strict=True)]
    plain_times = np.array([plain.finish_time_s(1e-6) for plain in plains])
    same, load, mixed = _batches()
    panels = sum(
        len(lay_panels(WINDING, 0.042, 0.012, PANEL_LENGTH_M, divide).table) for divide in (1, 2)
    )
    for batch in (same, load, mixed):
        coast_batch(WINDING, batch)
    same_s = best_of(lambda: coast_batch(WINDING, same), 7)
    one = same.take(np.array([0]))
    return Figures(
        error_s=float(np.max(np.abs(np.vstack([got.gate_times_s, got.finish_time_s]) - expected))),
        error_slow_banks_s=float(
            np.max(
                np.abs(np.vstack([got_slow.gate_times_s, got_slow.finish_time_s]) - expected_slow)
            )
        ),
        runs_per_s=BATCH / same_s,
        runs_per_s_load=BATCH / best_of(lambda: coast_batch(WINDING, load), 3),
        runs_per_s_mixed=BATCH / best_of(lambda: coast_batch(WINDING, mixed), 3),
        ns_per_panel=same_s / BATCH / panels * 1e9,
        panels=panels,
        one_car_s=best_of(lambda: coast(WINDING, cars[0], losses[0]), 50),
        batch_of_one_s=best_of(lambda: coast_batch(WINDING, one), 50),
        plain_s=best_of(lambda: plains[0].finish_time_s(1e-6), 3),
        plain_error_s=float(np.max(np.abs(plain_times - plain_expected))),
        flops_per_s=multiply_adds_per_s(),
        roots_per_s=divisions_and_roots_per_s(),
    )


def _batches() -> tuple[CarBatch, CarBatch, CarBatch]:
    """Return cars of one geometry, the same with friction by load, and of 200 geometries."""
    cars, losses = random_cars(1, 7)
    car = dataclasses.replace(cars[0], wheelbase_mm=42.0, cg_ahead_of_rear_axle_mm=20.0)
    car = dataclasses.replace(car, nose_ahead_of_front_axle_mm=12.0)
    loss = dataclasses.replace(losses[0], bearing_load_exponent=0.0)
    rng = np.random.default_rng(1)
    same = CarBatch.repeat(
        car,
        loss,
        BATCH,
        mass_g=rng.uniform(30.0, 60.0, BATCH),
        bearing_friction=rng.uniform(0.05, 0.25, BATCH),
        wall_friction=rng.uniform(0.02, 0.16, BATCH),
        cg_height_mm=rng.uniform(5.0, 15.0, BATCH),
    )
    load = dataclasses.replace(same, bearing_load_exponent=np.full(BATCH, -0.2))
    bases = rng.uniform(35.0, 50.0, 200)[rng.integers(0, 200, BATCH)]
    return same, load, dataclasses.replace(same, wheelbase_mm=bases)


def page(seen: Figures) -> str:
    """Return the page of the docs."""
    plain_ratio = seen.plain_s * seen.runs_per_s
    panels_per_s = 1e9 / seen.ns_per_panel
    flop_share = MULTIPLY_ADDS * panels_per_s / seen.flops_per_s
    root_share = DIVISIONS_AND_ROOTS * panels_per_s / seen.roots_per_s
    bound = "divisions and roots" if root_share > flop_share else "multiplications and additions"
    rows = [
        ("largest error, 32 random cars, eight bends", f"{seen.error_s:.1e} s", "1e-4 s"),
        ("largest error, slow banks (wall to wall)", f"{seen.error_slow_banks_s:.1e} s", "1e-4 s"),
        ("runs a second, one core, one geometry", f"{seen.runs_per_s:,.0f}", "300,000"),
        ("the same, bearing friction by load", f"{seen.runs_per_s_load:,.0f}", ""),
        ("the same, 200 wheelbases mixed", f"{seen.runs_per_s_mixed:,.0f}", ""),
        ("panels a run, both marches together", f"{seen.panels}", ""),
        ("time for a panel of one car", f"{seen.ns_per_panel:.2f} ns", "5.6 ns in a prototype"),
        ("SciPy RK45, rtol 1e-6, plain Python", f"{seen.plain_s * 1e3:,.0f} ms a run", ""),
        ("its largest error, 8 cars", f"{seen.plain_error_s:.1e} s", ""),
        ("runs of a batch in the time of one of SciPy's", f"{plain_ratio:,.0f}", "5,000"),
        ("one car in full, warm", f"{seen.one_car_s * 1e3:.2f} ms", "1 ms"),
        ("a batch of one car, warm", f"{seen.batch_of_one_s * 1e3:.2f} ms", ""),
        ("peak of multiply-adds, measured", f"{seen.flops_per_s / 1e9:.1f} GFLOP/s", ""),
        ("share of that peak in use", f"{flop_share:.0%}", ""),
        ("peak of divisions and roots, measured", f"{seen.roots_per_s / 1e9:.2f} G/s", ""),
        ("share of that peak in use", f"{root_share:.0%}", ""),
    ]
    lines = [
        "# Benchmarks",
        "",
        "Written by `python -m benchmarks.coasting`: one go on one core of "
        f"{platform.machine()} with Python {platform.python_version()} on {platform.system()}.",
        f"Track: {WINDING.finish_at_m:g} m with {len(WINDING.bends)} bends. Error: against SciPy's",
        "DOP853 (rtol 1e-10, max_step 0.01 m) at the gates and the finish. A run is marched twice",
        f"(panels of {PANEL_LENGTH_M * 100:g} cm and half of that) and extrapolated; both marches",
        "are in its time. Times are processor time, the least of several.",
        "",
        "| what | measured | asked |",
        "|---|---|---|",
        *(f"| {what} | {value} | {asked} |" for what, value, asked in rows),
        "",
        f"A panel takes {MULTIPLY_ADDS} additions and multiplications and {DIVISIONS_AND_ROOTS}",
        f"divisions and square roots (counted in the source); the nearer bound is {bound}.",
    ]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    text = page(measure())
    PAGE.write_text(text, encoding="utf-8")
    print(text)
