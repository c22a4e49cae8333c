"""Computed readings at many sets of unknowns at once."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.coasting import parameters as row
from hillbench.coasting.batch import coast_batch
from hillbench.coasting.car_batch import CarBatch, car_parameters
from hillbench.coasting.result import Floats
from hillbench.coasting.track import LONGEST_M
from hillbench.fitting.bench_tests import SpinReading
from hillbench.fitting.evidence import Evidence, Setup
from hillbench.fitting.layout import Layout
from hillbench.fitting.readings import CoastOut
from hillbench.fitting.timing_data import Stretch

PANEL_LENGTH_M: Final = 0.16
"""Twice the usual panel: times stay within 1e-5 s and a fit takes half as long."""


@dataclass(frozen=True, slots=True)
class Predictor:
    """Computes every reading from the unknowns.

    Attributes
    ----------
    evidence
        What was measured.
    layout
        The unknowns.
    setups, stretches
        Setups that ran, and the stretches that were timed.
    coast_outs, coast_setups
        Coast-outs and the setup of each.
    spins
        What the spin-downs gave.
    """

    evidence: Evidence
    layout: Layout
    setups: Sequence[Setup]
    stretches: Sequence[Stretch]
    coast_outs: Sequence[CoastOut]
    coast_setups: Sequence[Setup]
    spins: Sequence[SpinReading]

    def predict(self, scores: Floats) -> Floats:
        """Return all readings at some scores, shape (k, d).

        Times of the stretches in s, then logarithms of coast-outs in m and of bearing
        frictions; not a number for a time of a car that does not get there.
        """
        return np.concatenate(
            [self._times(scores), self._coast_outs(scores), self._frictions(scores)], axis=1
        )

    def _times(self, scores: Floats) -> Floats:
        if not self.stretches:
            return np.empty((len(scores), 0))
        times = run_times(self.evidence, self.layout.batch(scores, self.setups))
        times = times.reshape(len(times), len(scores), len(self.setups))
        setup, begin, end = np.array(self.stretches).T
        found: Floats = (times[end + 1, :, setup] - times[begin + 1, :, setup]).T
        return found

    def _coast_outs(self, scores: Floats) -> Floats:
        found = np.empty((len(scores), len(self.coast_outs)))
        for number, (test, setup) in enumerate(
            zip(self.coast_outs, self.coast_setups, strict=True)
        ):
            cars = self.layout.batch(scores, [setup])
            distance_m = (
                _down_the_hill(self.evidence, cars, test.distance_m)
                if test.entry_speed_m_s is None
                else level_distance_m(self.evidence, cars, test.entry_speed_m_s)
            )
            found[:, number] = np.log(distance_m)
        return found

    def _frictions(self, scores: Floats) -> Floats:
        found = np.empty((len(scores), len(self.spins)))
        values = self.layout.values(scores)
        places = self.layout.places
        for number, spin in enumerate(self.spins):
            place = places["bearing_friction", f"{spin.name}, {spin.state}"]
            log_friction = np.log(values[:, place])
            scale = places.get(("spin_scale", spin.name))
            if scale is not None:
                log_friction = log_friction + values[:, scale]
            power = places.get(("bearing_load_exponent", "cars"))
            if power is not None:
                log_friction = log_friction + values[:, power] * spin.log_load
            found[:, number] = log_friction
        return found


def run_times(evidence: Evidence, cars: CarBatch) -> Floats:
    """Return the times of a batch at the start (0), at each gate and at the finish, s.

    Not a number where a car does not get there; shape (gates + 2, n).
    """
    result = coast_batch(evidence.track, cars, evidence.surroundings, PANEL_LENGTH_M)
    return np.concatenate(
        [np.zeros((1, len(cars))), result.gate_times_s, result.finish_time_s[None, :]]
    )


def level_distance_m(evidence: Evidence, cars: CarBatch, entry_speed_m_s: float) -> Floats:
    """Return how far cars coast on a level surface from a speed, m, shape (n,).

    Notes
    -----
    M dv/dt = -(A + C v²) gives x = M/(2C) ln(1 + C v²/A): 40 CFR 1066.310 fits the same A and
    C to a coast-down; here M = m + J, A = c_r m g + F0 and C = ½ ρ CdA.
    """
    parameters = car_parameters(cars, evidence.surroundings)
    constant = parameters[row.LOAD_LOSS] * parameters[row.WEIGHT] + parameters[row.STEADY]
    moving = parameters[row.MASS] + parameters[row.WHEELS]
    ratio = parameters[row.DRAG] * entry_speed_m_s**2 / np.maximum(constant, 1e-12)
    # ln(1 + q)/q is 1 without air.
    shortening = np.where(ratio > 1e-12, np.log1p(ratio) / np.maximum(ratio, 1e-12), 1.0)
    distance: Floats = moving * entry_speed_m_s**2 / (2.0 * np.maximum(constant, 1e-12))
    return distance * shortening


def _down_the_hill(evidence: Evidence, cars: CarBatch, measured_m: float) -> Floats:
    """Return how far from the start line the nose comes to rest, m, shape (n,)."""
    far = min(max(4.0 * measured_m, 1.5 * evidence.track.finish_at_m), LONGEST_M)
    track = dataclasses.replace(evidence.track, finish_at_m=far, gates_at_m=())
    result = coast_batch(track, cars, evidence.surroundings, PANEL_LENGTH_M)
    return np.maximum(np.where(np.isfinite(result.where_m), result.where_m, far), 1e-3)
