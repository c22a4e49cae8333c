"""Which further reading would tell most, from the posterior taken as linear."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np

from hillbench.coasting.result import Floats
from hillbench.fitting.change import Change
from hillbench.fitting.evidence import Setup
from hillbench.fitting.fit import Fit
from hillbench.fitting.forecast import times_at
from hillbench.fitting.mode import central_differences
from hillbench.fitting.prediction import level_distance_m, run_times
from hillbench.fitting.readings import AS_IT_IS

COAST_SPEED_M_S: Final = 2.0
COAST_SPREAD: Final = 0.04
"""Relative uncertainty of a planned coast-out: common practice, no source."""

SPIN_SPREAD: Final = 0.11
"""Relative uncertainty of a planned spin-down, mostly from the wheel's inertia."""

PLANNED_RUNS: Final = 3
HEAVIER_G: Final = 10.0


class ReadingKind(StrEnum):
    """A kind of reading that could be taken."""

    RUNS = "runs"
    HEAVIER = "heavier runs"
    GATE = "gate"
    COAST_OUT = "coast-out"
    SPIN_DOWN = "spin-down"


READING_MINUTES: Final[Mapping[ReadingKind, float]] = {
    ReadingKind.RUNS: 6.0,
    ReadingKind.HEAVIER: 12.0,
    ReadingKind.GATE: 25.0,
    ReadingKind.COAST_OUT: 15.0,
    ReadingKind.SPIN_DOWN: 10.0,
}
"""Minutes that each reading typically takes: common practice, no source."""

_GATE_PLACES: Final = (0.2, 0.35, 0.5, 0.65, 0.8)


@dataclass(frozen=True, slots=True)
class PlannedReading:
    """A reading that could be taken, as it depends on the unknowns.

    Attributes
    ----------
    kind
        What kind of reading it is.
    name
        What would be done, in words.
    slopes
        Slopes of the values read by the scores, shape (r, n).
    spread
        Their standard deviations, shape (r,).
    """

    kind: ReadingKind
    name: str
    slopes: Floats
    spread: Floats


@dataclass(frozen=True, slots=True)
class Expected:
    """What a planned reading would tell.

    Attributes
    ----------
    kind
        ``runs``, ``heavier runs``, ``gate``, ``coast-out`` or ``spin-down``.
    name
        What would be done, in words.
    share_left
        Variance of the target afterwards over that now.
    target_spread_s
        Standard deviation of the target afterwards, s.
    bits
        Information about all unknowns together, bits.
    minutes
        What it typically takes: common practice, no source.
    """

    kind: ReadingKind
    name: str
    share_left: float
    target_spread_s: float
    bits: float
    minutes: float


def rank_readings(fit: Fit, setup: Setup, change: Change) -> tuple[Expected, ...]:
    """Return what each planned reading would tell of the gain of a change, best first.

    Parameters
    ----------
    fit
        What is known.
    setup
        The car with which the reading would be taken.
    change
        The change whose gain is the target.

    Notes
    -----
    With covariance C of the scores, target slopes h and a reading with slopes G and variances
    S, the covariance afterwards is C - C Gᵀ (S + G C Gᵀ)⁻¹ G C and the bits are
    ½ log₂ det(1 + S⁻¹ G C Gᵀ): D. V. Lindley, "On a measure of the information provided by an
    experiment", Ann. Math. Statist. 27 (1956) 986-1005, for a linear normal model.
    """
    centre = _centre(fit)
    covariance = np.atleast_2d(np.cov(fit.draws.T))

    def gain(scores: Floats) -> Floats:
        gained = times_at(fit, setup, None, scores) - times_at(fit, setup, change, scores)
        return gained[:, None]

    target, _ = central_differences(gain, centre, np.arange(len(centre)))
    found = [
        expect(covariance, target[0], planned) for planned in plan_readings(fit, setup, centre)
    ]
    return tuple(sorted(found, key=lambda one: one.share_left))


def expect(covariance: Floats, target: Floats, planned: PlannedReading) -> Expected:
    """Return what one planned reading would tell of a linear target; see `rank_readings`."""
    now = float(target @ covariance @ target)
    across = planned.slopes @ covariance
    inside = across @ planned.slopes.T
    reading = np.diag(planned.spread**2) + inside
    seen = across @ target
    after = max(now - float(seen @ np.linalg.solve(reading, seen)), 0.0)
    relative = np.eye(len(inside)) + inside / np.outer(planned.spread, planned.spread)
    bits = 0.5 * float(np.linalg.slogdet(relative)[1]) / math.log(2.0)
    share = after / now if now > 0.0 else 1.0
    minutes = READING_MINUTES[planned.kind]
    return Expected(planned.kind, planned.name, share, math.sqrt(after), bits, minutes)


def plan_readings(fit: Fit, setup: Setup, scores: Floats) -> Iterator[PlannedReading]:
    """Return readings that could be taken with a setup, linear about some scores."""
    scatter_s = float(fit.layout.unknowns[-2].values(scores[-2]))
    yield _runs(fit, setup, scores, scatter_s, ReadingKind.RUNS)
    heavier = dataclasses.replace(setup.car, mass_g=setup.car.mass_g + HEAVIER_G)
    added = dataclasses.replace(setup, car=heavier)
    yield _runs(fit, added, scores, scatter_s, ReadingKind.HEAVIER)
    for share in _GATE_PLACES:
        yield _gate(fit, setup, scores, scatter_s, share * fit.evidence.track.finish_at_m)
    yield _coast_out(fit, setup, scores)
    place = fit.layout.places.get(("bearing_friction", setup.owner))
    if place is not None:
        slopes = np.zeros((1, len(scores)))
        slopes[0, place] = fit.layout.unknowns[place].spread
        state = "" if setup.state == AS_IT_IS else f" ({setup.state})"
        name = f"a spin-down of {setup.name}{state}"
        yield PlannedReading(ReadingKind.SPIN_DOWN, name, slopes, np.array([SPIN_SPREAD]))


def _runs(
    fit: Fit, setup: Setup, scores: Floats, scatter_s: float, kind: ReadingKind
) -> PlannedReading:
    slopes = _time_slopes(fit, setup, scores, fit.evidence.track.gates_at_m)
    what = "more runs" if kind is ReadingKind.RUNS else f"runs {HEAVIER_G:g} g heavier"
    name = f"{PLANNED_RUNS} {what} with {setup.name}"
    share = _shares(fit, setup, scores, fit.evidence.track.gates_at_m)
    return PlannedReading(kind, name, slopes, scatter_s * np.sqrt(share / PLANNED_RUNS))


def _gate(fit: Fit, setup: Setup, scores: Floats, scatter_s: float, at_m: float) -> PlannedReading:
    gates = tuple(sorted({*fit.evidence.track.gates_at_m, round(at_m, 1)}))
    slopes = _time_slopes(fit, setup, scores, gates)
    share = _shares(fit, setup, scores, gates)
    name = f"a gate at {at_m:.1f} m for {PLANNED_RUNS} runs with {setup.name}"
    spread = scatter_s * np.sqrt(share / PLANNED_RUNS)
    return PlannedReading(ReadingKind.GATE, name, slopes, spread)


def _time_slopes(fit: Fit, setup: Setup, scores: Floats, gates_at_m: Sequence[float]) -> Floats:
    def stretches(moved: Floats) -> Floats:
        return _stretch_times(fit, setup, moved, gates_at_m)

    slopes, _ = central_differences(stretches, scores, np.arange(len(scores)))
    return slopes


def _shares(fit: Fit, setup: Setup, scores: Floats, gates_at_m: Sequence[float]) -> Floats:
    times = _stretch_times(fit, setup, scores[None, :], gates_at_m)[0]
    shares: Floats = np.maximum(times / fit.objective.timing.typical_s, 1e-6)
    return shares


def _stretch_times(fit: Fit, setup: Setup, scores: Floats, gates_at_m: Sequence[float]) -> Floats:
    track = dataclasses.replace(fit.evidence.track, gates_at_m=tuple(sorted(gates_at_m)))
    evidence = dataclasses.replace(fit.evidence, track=track)
    times: Floats = np.diff(run_times(evidence, fit.layout.batch(scores, [setup])), axis=0).T
    return times


def _coast_out(fit: Fit, setup: Setup, scores: Floats) -> PlannedReading:
    def distance(moved: Floats) -> Floats:
        cars = fit.layout.batch(moved, [setup])
        found: Floats = np.log(level_distance_m(fit.evidence, cars, COAST_SPEED_M_S))[:, None]
        return found

    slopes, _ = central_differences(distance, scores, np.arange(len(scores)))
    name = f"a coast-out of {setup.name} on a level piece of the track from {COAST_SPEED_M_S:g} m/s"
    return PlannedReading(ReadingKind.COAST_OUT, name, slopes, np.array([COAST_SPREAD]))


def _centre(fit: Fit) -> Floats:
    centre: Floats = np.asarray(np.mean(fit.draws, axis=0))
    if np.isfinite(fit.objective.log_likelihood(centre[None, :])[0]):
        return centre
    return fit.best
