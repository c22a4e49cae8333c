"""How long a comparison takes, and how a general-purpose sampler does on the same posterior.

``python -m benchmarks.timing_speed`` writes docs/benchmarks-timing-speed.md; emcee is used if
it is installed.
"""

from __future__ import annotations

import importlib
import importlib.util
import platform
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from time import process_time
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

from benchmarks.timing_scenarios import Truth, draw_runs, order_of
from hillbench.timing.compare import compare
from hillbench.timing.run import TimedRun
from hillbench.timing.run_order import run_order
from tests.outside.timing_quadrature import Truth as Exact
from tests.outside.timing_quadrature import gap_posterior

PAGE = Path(__file__).parents[1] / "docs" / "benchmarks-timing-speed.md"
ROOT = Path(__file__).parents[1]
SEEDS = 5
WALKERS = 32
MOST_STEPS = 12_800
Floats = npt.NDArray[np.float64]

FIRST_CALL = """
from time import process_time
import numpy as np
from hillbench.timing.compare import compare
from hillbench.timing.run import TimedRun
runs = [TimedRun("AB"[n % 2], 10.4 + (n * 7 % 11) / 100, lane=str(n // 2 % 2)) for n in range(20)]
compare(runs, np.random.default_rng(1))
print(process_time())
"""


@dataclass(frozen=True)
class Errors:
    """Median errors against quadrature, and seconds for one answer."""

    probability: float
    quantile_s: float
    seconds: float


def main() -> None:
    """Measure and write the page."""
    rng = np.random.default_rng(1)
    two = draw_runs(Truth(0.04, 0.05, bad_share=0.05), order_of("clean", 10), rng)
    forty = _forty(rng)
    rows = [
        ("2 cars × 10 runs, warm", _least(lambda: compare(two, np.random.default_rng(1))), 0.05),
        ("the same, first call after the start, with all imports", _first_call(), 0.3),
        (
            "40 cars × 8 runs, 4 lanes",
            _least(lambda: compare(forty, np.random.default_rng(1))),
            1.0,
        ),
    ]
    lines = [
        "# How long a timing answer takes",
        "",
        "Written by `python -m benchmarks.timing_speed`: one go on one core of"
        f" {platform.machine()} with Python {platform.python_version()} on {platform.system()}.",
        "Processor time, the least of several; for the sampler the median over seeds.",
        "",
        "| what | measured | asked |",
        "|---|---|---|",
        *(f"| {name} | {1e3 * got:.0f} ms | {1e3 * asked:.0f} ms |" for name, got, asked in rows),
        *_emcee_lines(),
    ]
    PAGE.write_text("\n".join(lines) + "\n", encoding="utf-8")
    print(PAGE.read_text(encoding="utf-8"))


def _forty(rng: np.random.Generator) -> list[TimedRun]:
    names = [f"car {number}" for number in range(40)]
    faster = dict(zip(names, rng.normal(0.0, 0.1, 40), strict=True))
    return [
        TimedRun(turn.car, 10.5 - faster[turn.car] + 0.05 * rng.normal(), lane=str(turn.lane))
        for turn in run_order(names, 8, lanes=4)
    ]


def _least(call: Callable[[], object], times: int = 9) -> float:
    seconds = []
    for _ in range(times):
        started = process_time()
        call()
        seconds.append(process_time() - started)
    return min(seconds)


def _first_call() -> float:
    command = [sys.executable, "-c", FIRST_CALL]
    return min(
        float(subprocess.run(command, capture_output=True, check=True, cwd=ROOT / "src").stdout)
        for _ in range(5)
    )


def _emcee_lines() -> list[str]:
    if importlib.util.find_spec("emcee") is None:
        return ["", "emcee was not installed, so nothing is compared with it."]
    lines = [
        *("", "## Beside a general-purpose sampler", ""),
        f"emcee ({WALKERS} walkers, vectorised, bad runs summed out) on the same posterior of two",
        "cars without lanes or drift. It gets twice the steps until both its median errors against",
        f"quadrature, over {SEEDS} seeds, are no larger than Hillbench's, or {MOST_STEPS} steps.",
        "",
        "| case | | median error of P | of quantiles | time | ratio |",
        "|---|---|---|---|---|---|",
    ]
    rng = np.random.default_rng(2)
    for name, gap_s, runs_each in (("10 runs each", 0.02, 10), ("3 runs each", 0.05, 3)):
        runs = draw_runs(Truth(gap_s, 0.05), order_of("clean", runs_each), rng)
        first, second = ([run.time_s or 0.0 for run in runs if run.car == car] for car in "AB")
        exact = gap_posterior(first, second, float(np.median([*first, *second])))
        ours = _our_errors(first, second, exact)
        theirs, steps = _their_errors(first, second, exact, ours)
        reached = theirs.probability <= ours.probability and theirs.quantile_s <= ours.quantile_s
        sign = "" if reached else "more than "
        lines += [
            _row(name, "Hillbench", ours, ""),
            _row("", f"emcee, {steps} steps", theirs, f"{sign}{theirs.seconds / ours.seconds:.0f}"),
        ]
    return lines


def _row(case: str, who: str, errors: Errors, ratio: str) -> str:
    return (
        f"| {case} | {who} | {errors.probability:.4f} | {1e3 * errors.quantile_s:.2f} ms"
        f" | {1e3 * errors.seconds:.0f} ms | {ratio} |"
    )


def _our_errors(first: list[float], second: list[float], exact: Exact) -> Errors:
    # One order for all: no drift, as in the quadrature.
    runs = [
        TimedRun(car, time, order=1.0) for car, own in (("A", first), ("B", second)) for time in own
    ]
    errors, seconds = [], []
    for seed in range(SEEDS):
        started = process_time()
        pair = compare(runs, np.random.default_rng(seed)).pairs[0]
        seconds.append(process_time() - started)
        ends = (pair.gap_low_s, pair.gap_s, pair.gap_high_s)
        errors.append(_error(pair.probability_first_faster, ends, exact))
    probability, quantile = np.median(np.array(errors), axis=0)
    return Errors(float(probability), float(quantile), float(np.median(seconds)))


def _error(probability: float, ends: tuple[float, ...], exact: Exact) -> tuple[float, float]:
    return (
        abs(probability - exact.probability_first_faster),
        max(abs(a - b) for a, b in zip(ends, exact.quantiles_s, strict=True)),
    )


def _their_errors(
    first: list[float], second: list[float], exact: Exact, ours: Errors
) -> tuple[Errors, int]:
    steps, got = 200, Errors(1.0, 1.0, 0.0)
    while steps < MOST_STEPS and (
        got.probability > ours.probability or got.quantile_s > ours.quantile_s
    ):
        steps *= 2
        got = _run_emcee(first, second, exact, steps)
    return got, steps


def _run_emcee(first: list[float], second: list[float], exact: Exact, steps: int) -> Errors:
    emcee: Any = importlib.import_module("emcee")
    density = log_density(np.array(first), np.array(second))
    errors, seconds = [], []
    for seed in range(SEEDS):
        rng = np.random.default_rng(seed)
        begin = np.array([np.median(first), 0.0, np.log(0.06), 0.06])
        start = begin + rng.normal(0.0, [0.03, 0.05, 0.3, 0.01], (WALKERS, 4))
        sampler = emcee.EnsembleSampler(WALKERS, 4, density, vectorize=True)
        sampler._random = np.random.RandomState(seed)  # noqa: SLF001 (its only way in)
        started = process_time()
        sampler.run_mcmc(start, steps)
        gaps = sampler.get_chain(discard=steps // 5, flat=True)[:, 1]
        low, middle, high = np.quantile(gaps, (0.05, 0.5, 0.95)).tolist()
        probability = float((gaps > 0.0).mean())
        seconds.append(process_time() - started)
        errors.append(_error(probability, (low, middle, high), exact))
    error, quantile = np.median(np.array(errors), axis=0)
    return Errors(float(error), float(quantile), float(np.median(seconds)))


def log_density(first: Floats, second: Floats) -> Callable[[Floats], Floats]:
    """Return the log posterior of level, gap, log spread and bad share, many points at once."""
    scale = float(np.median(np.concatenate([first, second]))) / 10.5
    tau, misfire = 0.30 * scale, 0.002 / (2.0 * 10.5 * scale)
    low, high = np.log(0.006 * scale), np.log(0.5 * scale)

    def density(points: Floats) -> Floats:
        level, gap, log_spread, rate = (points[:, place, None] for place in range(4))
        inside = (log_spread > low) & (log_spread < high) & (rate > 0.0) & (rate < 1.0)
        spread = np.exp(np.clip(log_spread, low, high))
        share = np.clip(rate, 1e-9, 1.0 - 1e-9)
        residuals = np.concatenate([first - level, second - level - gap], axis=1)
        standard = residuals / spread
        clean = np.exp(-0.5 * standard**2) / (spread * np.sqrt(2.0 * np.pi))
        bad = np.exp(np.minimum(0.5 * (spread / tau) ** 2 - residuals / tau, 700.0)) / tau
        bad *= ndtr(standard - spread / tau)
        mixed = 0.998 * ((1.0 - share) * clean + share * bad) + misfire
        logs = np.log(mixed).sum(axis=1, keepdims=True) - 0.5 * (gap / (0.15 * scale)) ** 2
        logs += 14.0 * np.log1p(-share)
        logs -= 0.5 * ((log_spread - np.log(0.06 * scale)) / 0.8) ** 2
        result: Floats = np.where(inside, logs, -np.inf)[:, 0]
        return result

    return density


if __name__ == "__main__":
    main()
