"""Measured times cut into the stretches between readings."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hillbench.coasting.result import Floats
from hillbench.fitting.evidence import Evidence, Setup, setup_of
from hillbench.fitting.prior import DELAY_SHARE
from hillbench.fitting.readings import TimedRun, has_times
from hillbench.fitting.scatter import Scatter

Stretch = tuple[int, int, int]
"""Number of the setup, and of the readings between which time passes: -1 is the start, then
the gates, then the finish."""

_TYPICAL_WITHOUT_RUNS_S = 5.0


@dataclass(frozen=True, slots=True)
class TimingData:
    """Times between readings.

    Attributes
    ----------
    setups
        Setups that ran.
    stretches
        Each stretch that was timed at least once.
    which
        Stretch of each time, shape (d,).
    run
        Number of the run in the evidence of each time, shape (d,).
    time_s
        The times, shape (d,).
    scatter
        How they scatter.
    typical_s
        Typical time of a run from start to finish, s.
    """

    setups: tuple[Setup, ...]
    stretches: tuple[Stretch, ...]
    which: NDArray[np.intp]
    run: NDArray[np.intp]
    time_s: Floats
    scatter: Scatter
    typical_s: float

    def medians(self) -> tuple[Floats, NDArray[np.intp]]:
        """Return the median time of each stretch, s, and how often it was timed."""
        counts = np.bincount(self.which, minlength=len(self.stretches))
        middles = [float(np.median(self.time_s[self.which == k])) for k in range(len(counts))]
        return np.array(middles), counts


def cut_times(evidence: Evidence) -> TimingData:
    """Return the times of all runs that have any, cut into stretches."""
    setups: dict[Setup, int] = {}
    stretches: dict[Stretch, int] = {}
    which, owner, times, inner = [], [], [], []
    for number, run in enumerate(evidence.runs):
        if not has_times(run):
            continue
        setup = setups.setdefault(setup_of(evidence, run), len(setups))
        for begin, end, time_s in _stretches(evidence, run):
            which.append(stretches.setdefault((setup, begin, end), len(stretches)))
            owner.append(number)
            times.append(time_s)
            inner.append(begin >= 0)
    typical = _typical_s(evidence)
    measured = np.array(times)
    index = np.array(which, dtype=np.intp)
    readings = np.where(inner, 2.0, 1.0)  # a time between two gates has two readings
    scatter = Scatter(
        share=_shares(measured, index, typical, len(stretches)),
        timer_s=evidence.timer_uncertainty_s * np.sqrt(readings),
        delay_s=DELAY_SHARE * typical,
        typical_s=typical,
    )
    return TimingData(
        tuple(setups),
        tuple(stretches),
        index,
        np.array(owner, dtype=np.intp),
        measured,
        scatter,
        typical,
    )


def _stretches(evidence: Evidence, run: TimedRun) -> list[tuple[int, int, float]]:
    gates = evidence.track.gates_at_m
    readings = [
        (gates[number], number, time)
        for number, time in enumerate(run.gate_times_s)
        if time is not None and gates[number] > 0.0
    ]
    readings.sort()
    if run.finish_time_s is not None:
        readings.append((evidence.track.finish_at_m, len(gates), run.finish_time_s))
    found, before, since = [], -1, 0.0
    for _, number, time in readings:
        found.append((before, number, time - since))
        before, since = number, time
    return found


def _shares(measured: Floats, which: NDArray[np.intp], typical_s: float, count: int) -> Floats:
    """Return the part of a run that each stretch takes, from its median time."""
    of_stretch = defaultdict(list)
    for stretch, time_s in zip(which.tolist(), measured.tolist(), strict=True):
        of_stretch[stretch].append(time_s)
    medians = np.array([np.median(of_stretch[stretch]) for stretch in range(count)])
    return np.maximum(medians[which] / typical_s, 1e-6) if count else measured


def _typical_s(evidence: Evidence) -> float:
    whole = [
        run.finish_time_s
        for run in evidence.runs
        if has_times(run) and run.finish_time_s is not None
    ]
    if whole:
        return float(np.median(whole))
    last = [
        max(time for time in run.gate_times_s if time is not None)
        for run in evidence.runs
        if has_times(run)
    ]
    return float(np.median(last)) if last else _TYPICAL_WITHOUT_RUNS_S
