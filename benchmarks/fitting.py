"""Speed of a fit: 4 cars × 3 masses × 40 runs with gates, against least squares around an ODE.

`python -m benchmarks.fitting`; times are those of the processor, for machines are shared. Then a
bench of seven cars with few readings each, which has more unknowns than a fit likes.
"""

from __future__ import annotations

import dataclasses
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import least_squares

from hillbench.coasting.car import Car
from hillbench.coasting.car_batch import CarBatch, car_parameters
from hillbench.coasting.forces import panel_forces
from hillbench.coasting.losses import Losses
from hillbench.coasting.panels import lay_panels
from hillbench.coasting.result import Floats
from hillbench.coasting.surroundings import Surroundings
from hillbench.fitting.advice import advise
from hillbench.fitting.blocks import Blocks
from hillbench.fitting.ellipse_sampler import CHAINS, draw_ellipses
from hillbench.fitting.evidence import Evidence, Setup
from hillbench.fitting.fit import fit
from hillbench.fitting.forecast import Aim, forecast_changes
from hillbench.fitting.information import rank_readings
from hillbench.fitting.nested import draw_nested
from hillbench.fitting.nested_proposal import NestedProposal
from hillbench.fitting.objective import Objective
from hillbench.fitting.posterior import StudentT, draw_adapted
from hillbench.fitting.prepare import locate, prepare
from hillbench.fitting.readings import SpinTest
from hillbench.fitting.suggestion import pairs_of, suggest_changes
from tests.fitting.world import CAR, LOSSES, WINDING, Truth, known, make_runs

TRACK = replace(WINDING, gates_at_m=(6.0, 12.0))
ADDED_G = (0.0, 10.0, 20.0)
RUNS = 40


def club(rng: np.random.Generator) -> Evidence:
    truths = [
        Truth(
            name,
            replace(CAR, mass_g=35.0 + 2.0 * n, wheelbase_mm=38.0 + 2.0 * n),
            replace(LOSSES, bearing_friction=0.15 + 0.03 * n, steady_drag_mn=0.3 + 0.1 * n),
        )
        for n, name in enumerate("ABCD")
    ]
    runs = [
        run
        for truth in truths
        for run in make_runs(TRACK, truth, RUNS, rng, [truth.car.mass_g + g for g in ADDED_G])
    ]
    return Evidence(TRACK, tuple(known(truth) for truth in truths), tuple(runs))


def main() -> None:
    rng = np.random.default_rng(5)
    evidence = club(rng)
    objective = prepare(evidence)
    mode = locate(objective)  # warm
    laplace_s = _best_of(5, lambda: locate(prepare(evidence)).covariance())
    print(f"{objective.count} unknowns, {len(objective.timing.time_s)} times, {mode.steps} steps")
    print(f"mode and Laplace            {laplace_s:8.3f} s  (at most 0.5)")
    whole_s = _best_of(3, lambda: fit(evidence, rng))
    print(f"whole fit with 1000 draws   {whole_s:8.3f} s")
    about = StudentT.about(mode.scores, mode.covariance())
    begin = time.process_time()
    drawn, _ = draw_adapted(objective.log_posterior, about, (1000, 2000, 12000), rng)
    took = time.process_time() - begin
    print(f"weighted draws              {took:8.3f} s for {drawn.effective:.0f} effective,")
    begin = time.process_time()
    blocks = Blocks.of(objective)
    chains = draw_ellipses(
        blocks,
        NestedProposal.about(blocks, mode),
        drawn.resample(CHAINS, rng),
        rng,
        effective=2000.0,
    )
    took = time.process_time() - begin
    print(
        f"elliptical slice sampler    {took:8.3f} s for {chains.effective():.0f} effective, R-hat "
        f"{chains.worst_r_hat():.3f}  (2,000 in at most 20)"
    )
    _advice(evidence, rng)
    _many_unknowns(rng)
    _ratio(evidence, objective, laplace_s)


def _advice(evidence: Evidence, rng: np.random.Generator) -> None:
    car = evidence.cars[0]
    setup = Setup(car.name, "dry", car.car)
    single = suggest_changes(evidence, setup, 57.0, 0.05)
    changes = (*single, *pairs_of(single))
    fitted = fit(evidence, rng, [setup, *(change.applied_to(setup) for change in changes)])

    def advice() -> object:
        forecasts = forecast_changes(fitted, setup, changes, Aim(9.0, 57.0))
        return advise(forecasts, Aim(9.0, 57.0), rank_readings(fitted, setup, changes[0]))

    took = _best_of(3, advice)
    print(f"advice after the fit        {took:8.3f} s for {len(changes)} changes  (at most 1)")


def _many_unknowns(rng: np.random.Generator) -> None:
    """Fit seven cars of one mass each, eight total times and two spin-downs a car."""
    truths = [
        Truth(
            f"Car {n}",
            replace(CAR, mass_g=30.0 + 3.0 * n),
            replace(LOSSES, bearing_friction=0.12 + 0.02 * n),
        )
        for n in range(7)
    ]
    runs = [run for truth in truths for run in make_runs(WINDING, truth, 8, rng, gates=False)]
    spins = [
        SpinTest(truth.name, 12.0, seconds, state=state)
        for truth in truths
        for state, seconds in (("as it is", 2.2), ("graphite", 4.0))
    ]
    cars = tuple(known(truth) for truth in truths)
    evidence = Evidence(WINDING, cars, tuple(runs), spin_downs=tuple(spins))
    begin = time.process_time()
    fitted = fit(evidence, rng)
    took = time.process_time() - begin
    told = fitted.statistics
    print(
        f"seven cars, {fitted.objective.count} unknowns   {took:8.3f} s, {fitted.status}, "
        f"{told.effective_draws:.0f} effective draws of the hill, tail {told.pareto_shape:.2f}"
    )
    objective, blocks = fitted.objective, Blocks.of(fitted.objective)
    about = NestedProposal.about(blocks, locate(objective))
    nested, about = draw_nested(blocks, about, (200, 400, 800), rng)
    begin = time.process_time()
    start = nested.resample(CHAINS, rng)
    chains = draw_ellipses(blocks, about, start, rng, effective=2000.0)
    took = time.process_time() - begin
    print(
        f"  sampler on it             {took:8.3f} s for {chains.effective():.0f} effective, R-hat "
        f"{chains.worst_r_hat():.3f}"
    )


def _ratio(evidence: Evidence, objective: Objective, laplace_s: float) -> None:
    """Fit one car the plain way and scale to four: its cost is the same for each of them."""
    timing = objective.timing
    medians, _ = timing.medians()
    chosen = [n for n, (s, _, _) in enumerate(timing.stretches) if timing.setups[s].name == "A"]
    setups = [setup for setup in timing.setups if setup.name == "A"]
    spread = 0.05 * np.sqrt(medians[chosen] / timing.typical_s / RUNS)

    def residuals(scores: Floats) -> Floats:
        losses = Losses(
            bearing_friction=0.2 * np.exp(0.5 * scores[0]),
            rolling_resistance=0.008 * np.exp(0.7 * scores[1]),
            steady_drag_mn=0.3 * np.exp(scores[2]),
            wall_friction=0.2 * np.exp(0.5 * scores[3]),
        )
        area = 4.0 * np.exp(0.3 * scores[4])
        times = [
            plain_times(replace(setup.car, drag_area_cm2=float(area)), losses) for setup in setups
        ]
        computed = np.concatenate([np.diff(one, prepend=0.0) for one in times])
        return np.concatenate([(computed - medians[chosen]) / spread, scores])

    begin = time.process_time()
    found = least_squares(residuals, np.zeros(5), method="lm")
    took = time.process_time() - begin
    # The plain way differences every unknown of all cars: 4 cars and 14 unknowns, not 1 and 5.
    whole = took * 4.0 * (2.0 + 3.0 * 4.0) / 5.0
    print(
        f"least_squares and solve_ivp {took:8.1f} s for one car, 5 unknowns, {found.nfev} calls;"
        f" about {whole:.0f} s for four with 14"
    )
    print(f"ratio for one car           {took / _one_car_s(evidence):8.0f}    (at least 500)")
    print(f"ratio for four cars         {whole / laplace_s:8.0f}    (scaled)")


def _one_car_s(evidence: Evidence) -> float:
    runs = tuple(run for run in evidence.runs if run.car == "A")
    one = dataclasses.replace(evidence, cars=evidence.cars[:1], runs=runs)
    return _best_of(5, lambda: locate(prepare(one)).covariance())


def plain_times(car: Car, losses: Losses) -> Floats:
    """Return the times at gates and finish by a general solver, in (v², t) along the track."""
    parameters = car_parameters(CarBatch.of([car], [losses]), Surroundings())
    panels = lay_panels(TRACK, car.wheelbase_mm / 1e3, car.nose_ahead_of_front_axle_mm / 1e3)
    last = len(panels.table) - 1

    def slope(at_m: float, state: Floats) -> list[float]:
        row = min(max(int(np.searchsorted(panels.edges_m, at_m, side="right")) - 1, 0), last)
        energy = max(float(state[0]), 1e-9)
        table = panels.table[row : row + 1]
        moving = float(panel_forces(table, parameters, np.zeros(1)).moving_kg[0])
        speed_2 = 2.0 * energy / moving
        forces = panel_forces(table, parameters, np.array([speed_2]))
        change = -float(forces.fall_n[0]) - float(forces.loss_n()[0])
        return [change, speed_2**-0.5]

    begin = 0.02  # from rest to here at constant force, in closed form
    force = slope(0.0, np.array([1e-9, 0.0]))[0]
    moving = float(panel_forces(panels.table[:1], parameters, np.zeros(1)).moving_kg[0])
    start = [force * begin, (2.0 * begin * moving / force) ** 0.5]
    places = (*TRACK.gates_at_m, TRACK.finish_at_m)
    answer = solve_ivp(
        slope, (begin, places[-1]), start, t_eval=places, rtol=1e-6, atol=1e-9, max_step=0.1
    )
    times: Floats = answer.y[1]
    return times


def _best_of(count: int, work: Callable[[], object]) -> float:
    times = []
    for _ in range(count):
        begin = time.process_time()
        work()
        times.append(time.process_time() - begin)
    return min(times)


if __name__ == "__main__":
    main()
