"""Simulation-based calibration of fits and coverage of forecasts; writes a table.

`python -m benchmarks.fitting_calibration [FITS] [exponent]`. Truths are drawn from the priors,
runs from the model, and each truth is ranked among the draws of its fit: ranks are uniform where
fits are right (S. Talts, M. Betancourt, D. Simpson, A. Vehtari and A. Gelman, "Validating
Bayesian inference algorithms with simulation-based calibration", arXiv:1804.06788, 2018). The
gain of three changes is forecast each time and compared with the true one. With `exponent` the
bearing friction may fall with the load.
"""

from __future__ import annotations

import sys
import time
from collections import defaultdict
from dataclasses import dataclass, replace

import numpy as np
from scipy import stats

from hillbench.coasting.result import Floats
from hillbench.fitting.change import Change
from hillbench.fitting.evidence import Evidence, KnownCar, Setup
from hillbench.fitting.fit import Fit, fit
from hillbench.fitting.forecast import times_at
from hillbench.fitting.objective import Objective
from hillbench.fitting.prepare import prepare
from hillbench.fitting.readings import SpinTest, TimedRun
from hillbench.fitting.scatter import JUNK_RATE, JUNK_SHARE
from tests.fitting.world import CAR, WINDING

TRACK = replace(WINDING, gates_at_m=(6.0, 12.0))
MASSES_G = (37.0, 47.0)
RUNS = 6
RANKS = 99
BINS = 10
CHANGES = (
    Change("add 20 g", mass_g=57.0),
    Change("graphite", state="graphite"),
    Change("trim the drag", drag_area_factor=0.8),
)


@dataclass(frozen=True)
class World:
    """One drawn truth with the runs made from it."""

    scores: Floats
    evidence: Evidence


def main(fits: int, *, exponent: bool) -> None:
    rng = np.random.default_rng(20180418 + exponent)
    ranks: dict[str, list[int]] = defaultdict(list)
    held: dict[str, list[bool]] = defaultdict(list)
    statuses: dict[str, int] = defaultdict(int)
    begin = time.perf_counter()
    for _ in range(fits):
        world = draw_world(rng, exponent=exponent)
        fitted = fit(world.evidence, rng, also=_asked())
        statuses[str(fitted.status)] += 1
        rank(fitted, world, ranks, rng)
        cover(fitted, world, held)
    print(f"{fits} fits in {time.perf_counter() - begin:.0f} s: {dict(statuses)}")
    print("\n| unknown | " + " | ".join(f"{b}" for b in range(1, BINS + 1)) + " | p |")
    print("|---|" + "---|" * (BINS + 1))
    for name, found in ranks.items():
        counts = np.bincount(np.array(found) * BINS // (RANKS + 1), minlength=BINS)
        p = stats.chisquare(counts).pvalue
        print(f"| {name} | " + " | ".join(str(c) for c in counts) + f" | {p:.2f} |")
    print("\n| forecast of | 90 % interval held | of |")
    print("|---|---|---|")
    for name, each in held.items():
        print(f"| {name} | {100 * np.mean(each):.1f} % | {len(each)} |")


def draw_world(rng: np.random.Generator, *, exponent: bool = False) -> World:
    """Return a truth from the priors in which every car finishes, with runs made from it."""
    times = (1.0,) * len(TRACK.gates_at_m)
    blank = [TimedRun("A", 9.0, times, "dry", mass) for mass in MASSES_G]
    spin = (SpinTest("A", 20.0, 2.0, state="dry"),)
    base = Evidence(TRACK, (KnownCar("A", CAR),), tuple(blank), fit_load_exponent=exponent)
    base = replace(base, spin_downs=spin if rng.random() < 0.5 else ())
    objective = prepare(base, _asked())
    while True:
        scores = rng.standard_normal(objective.count)
        predicted = objective.predictor.predict(scores[None, :])[0]
        if np.all(np.isfinite(predicted)):
            break
    typical = float(np.sum(predicted[: len(objective.timing.stretches)])) / len(MASSES_G)
    unknown = objective.predictor.layout.unknowns[-2]
    scatter_s = float(unknown.values(scores[-2])) * typical / objective.timing.typical_s
    bad_rate = float(objective.predictor.layout.unknowns[-1].values(scores[-1]))
    runs = [
        TimedRun("A", times[-1], tuple(times[:-1]), "dry", mass)
        for mass in MASSES_G
        for times in _runs(objective, predicted, mass, typical, (scatter_s, bad_rate), rng)
    ]
    made = replace(base, runs=tuple(runs))
    if base.spin_downs:
        made = replace(made, spin_downs=(_spin(base, objective, predicted, rng),))
    return World(scores, made)


def _runs(
    objective: Objective,
    predicted: Floats,
    mass: float,
    typical: float,
    noise: tuple[float, float],
    rng: np.random.Generator,
) -> list[list[float]]:
    timing = objective.timing
    chosen = [
        n for n, (s, _, _) in enumerate(timing.stretches) if timing.setups[s].car.mass_g == mass
    ]
    stretches = predicted[chosen]
    shares = stretches / typical
    made: list[list[float]] = []
    while len(made) < RUNS:
        off = noise[0] * np.sqrt(shares) * rng.standard_normal(len(shares))
        bad = rng.random(len(shares)) < -np.expm1(shares * np.log1p(-noise[1]))
        off += bad * rng.exponential(0.03 * typical, len(shares))
        junk = rng.random(len(shares)) < JUNK_RATE
        wild = JUNK_SHARE * typical * rng.standard_cauchy(len(shares))
        times = np.cumsum(stretches + np.where(junk, wild, off))
        if np.all(np.diff(times, prepend=0.0) > 0.0):
            made.append(times.tolist())
    return made


def _spin(
    base: Evidence, objective: Objective, predicted: Floats, rng: np.random.Generator
) -> SpinTest:
    """Return the spin-down that reads the true friction, with its shared and its own error."""
    wanted = predicted[-1] + objective.bench_spread[-1] * rng.standard_normal()
    test = base.spin_downs[0]
    now = objective.bench[-1]
    return replace(test, stop_time_s=test.stop_time_s * float(np.exp(now - wanted)))


def rank(fitted: Fit, world: World, ranks: dict[str, list[int]], rng: np.random.Generator) -> None:
    chosen = fitted.draws[rng.choice(len(fitted.draws), RANKS, replace=False)]
    for number, one in enumerate(fitted.layout.unknowns):
        true, drawn = world.scores[number], chosen[:, number]
        ranks[f"{one.name}, {one.owner}"].append(int(np.sum(drawn < true)))


def cover(fitted: Fit, world: World, held: dict[str, list[bool]]) -> None:
    setup = Setup("A", "dry", CAR)
    for change in CHANGES:
        gains = []
        for scores in (fitted.draws, world.scores[None, :]):
            before, after = (times_at(fitted, setup, c, scores) for c in (None, change))
            gains.append(before - after)
        drawn = gains[0][np.isfinite(gains[0])]
        if len(drawn) < 0.95 * len(gains[0]) or not np.isfinite(gains[1][0]):
            continue
        low, high = np.quantile(drawn, [0.05, 0.95])
        held[change.name].append(bool(low <= gains[1][0] <= high))


def _asked() -> list[Setup]:
    setup = Setup("A", "dry", CAR)
    return [change.applied_to(setup) for change in CHANGES]


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 400, exponent="exponent" in sys.argv)
