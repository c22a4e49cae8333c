"""From evidence to the log posterior and its top."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from hillbench.fitting.bench_tests import read_spins, read_steers
from hillbench.fitting.coordinates import Coordinates
from hillbench.fitting.evidence import Evidence, Setup, setup_of
from hillbench.fitting.layout import lay_out
from hillbench.fitting.mode import Mode, find_mode
from hillbench.fitting.objective import Objective
from hillbench.fitting.prediction import Predictor
from hillbench.fitting.ridge import Ridge
from hillbench.fitting.start import find_start
from hillbench.fitting.timing_data import cut_times


def prepare(evidence: Evidence, also: Sequence[Setup] = ()) -> Objective:
    """Return the log posterior of checked evidence; `also` as in `fit`."""
    timing = cut_times(evidence)
    spins = read_spins(evidence)
    coast_setups = [setup_of(evidence, test) for test in evidence.coast_outs]
    spun = [Setup(s.name, s.state, evidence.known_car(s.name).car) for s in spins]
    layout = lay_out(
        evidence,
        [*timing.setups, *coast_setups, *spun, *also],
        timing.typical_s,
        read_steers(evidence),
        {spin.name: spin.shared_spread for spin in spins},
    )
    predictor = Predictor(
        evidence, layout, timing.setups, timing.stretches, evidence.coast_outs, coast_setups, spins
    )
    bench = [np.log(test.distance_m) for test in evidence.coast_outs]
    spread = [coast_out_spread(evidence, number) for number in range(len(bench))]
    bench += [spin.log_friction.value for spin in spins]
    spread += [spin.log_friction.standard_uncertainty for spin in spins]
    read = {setup.owner for setup in spun}
    ridge = Ridge.of(layout, [*timing.setups, *coast_setups], evidence.gravity_m_s2, read)
    coordinates = Coordinates.of(layout, ridge)
    return Objective(predictor, timing, np.array(bench), np.array(spread), coordinates)


def locate(objective: Objective) -> Mode:
    """Return the top of the log posterior."""
    start = objective.coordinates.points(find_start(objective)[None, :])[0]
    return find_mode(objective.log_posterior, objective.slopes, start)


def coast_out_spread(evidence: Evidence, number: int) -> float:
    """Return the standard deviation of the logarithm of a coast-out's distance.

    Notes
    -----
    x ~ v², so an error of the speed counts twice. A slope α of the floor acts like α of rolling
    resistance, of which the coast-out has v²/(2 g x) in all (JCGM 100:2008, 5.1.2).
    """
    test = evidence.coast_outs[number]
    parts = [test.distance_uncertainty_m / test.distance_m]
    if test.entry_speed_m_s is not None:
        parts.append(2.0 * test.entry_speed_uncertainty_m_s / test.entry_speed_m_s)
        loss = test.entry_speed_m_s**2 / (2.0 * evidence.gravity_m_s2 * test.distance_m)
        parts.append(float(np.radians(test.level_uncertainty_deg)) / loss)
    return float(np.linalg.norm(parts))
