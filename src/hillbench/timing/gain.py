"""Did a change help: before and after, told apart from wear-in, wear-out and the day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

import numpy as np
import numpy.typing as npt

from hillbench.errors import InvalidInput, Problem
from hillbench.timing.compare import prior_of
from hillbench.timing.comparison import OddRun
from hillbench.timing.design import Column, build_design, run_orders
from hillbench.timing.odd_runs import find_odd_runs
from hillbench.timing.posterior import quantiles, share_below
from hillbench.timing.prior import REFERENCE_TIME_S, Prior, SpreadPrior
from hillbench.timing.run import TimedRun
from hillbench.timing.sampler import sample
from hillbench.timing.stopping import HEADLINE_SURE, Verdict, decide, least_mattering

WEAR_RUNS: Final = 4.0
"""Runs over which wearing in fades by a factor e."""

_WEAR_S: Final = 0.10  # 1 % of the typical time
_STEP_S: Final = 0.03  # 0.3 %
_PLAIN_STEP_S: Final = 0.06  # 0.6 %
_PLAIN_DRIFT: Final = 3.0

Mask = npt.NDArray[np.bool_]


class Layout(StrEnum):
    """How before and after were run."""

    SWAP = "swap"
    CONTROL = "control"
    PLAIN = "plain"


WARNINGS: Final = {
    Layout.SWAP: "",
    Layout.CONTROL: "",
    Layout.PLAIN: (
        "All runs before came first, so drift and gain cannot be told apart and the interval is"
        " widened: swap the part back and forth (ABBA), or run an unchanged car in between."
    ),
}
"""What is to be said about each layout."""


@dataclass(frozen=True, slots=True)
class Gain:
    """What a change gained.

    Attributes
    ----------
    gain_s, gain_low_s, gain_high_s
        Median and 90 % interval of time before less time after; positive for a gain.
    probability_gain
        Probability that the change made the car faster.
    probability_too_close
        Probability that it changed less than what matters, either way.
    verdict
        `FIRST` if it was faster before, `SECOND` if it is faster after; asks for 97.5 %, since
        one looks after every run.
    layout
        How before and after were run.
    warning
        What the layout cannot tell; empty if nothing.
    runs_before, runs_after, runs_control
        Timed runs of each.
    spread_s, spread_source
        Standard deviation of one clean run, and where its prior came from.
    matters_s
        Gain below which nobody cares.
    odd_runs
        Runs that are more likely odd than clean.
    """

    gain_s: float
    gain_low_s: float
    gain_high_s: float
    probability_gain: float
    probability_too_close: float
    verdict: Verdict
    layout: Layout
    warning: str
    runs_before: int
    runs_after: int
    runs_control: int
    spread_s: float
    spread_source: str
    matters_s: float
    odd_runs: tuple[OddRun, ...]


def measure_gain(
    runs: Sequence[TimedRun],
    before: str,
    after: str,
    rng: np.random.Generator,
    *,
    matters_s: float | None = None,
    earlier: Sequence[TimedRun] = (),
    spread: SpreadPrior | None = None,
    reading_uncertainty_s: float = 0.0,
) -> Gain:
    """Return what a change on one car gained.

    Parameters
    ----------
    runs
        Runs in the order run. Those of other cars than `before` and `after` are the control.
    before, after
        Names under which the car ran without and with the change.
    rng
        Source of randomness; the same state gives the same answer.
    matters_s
        Gain below which nobody cares, s; one spread of a run if not given.
    earlier
        Earlier runs on the track, for the spread.
    spread
        What earlier runs say about the spread where that is known already, in their place.
    reading_uncertainty_s
        Standard uncertainty of one reading of the clock, s.

    Raises
    ------
    InvalidInput
        If `before` or `after` has no timed run, or both are the same.

    Notes
    -----
    The model of `hillbench.timing.compare` with further columns. Wearing in,
    exp(−t/4) with t the car's runs so far, 1 % of the typical time; a step of the day between
    the two parts, shared with the control, 0.3 %. Where all runs before came first and there
    is no control, the step is 0.6 % and the drift three times as wide, which no number of
    runs can take out. The constants are our own; ``docs/benchmarks-timing.md`` has the trials.
    """
    _check(runs, before, after, matters_s)
    layout = layout_of(runs, before, after)
    prior = prior_of(runs, rng, earlier, reading_uncertainty_s, spread)
    if layout is Layout.PLAIN:
        prior = replace(prior, drift_s_per_run=_PLAIN_DRIFT * prior.drift_s_per_run)
    design = build_design(runs, prior, _extra_columns(runs, before, after, layout, prior))
    posterior = sample(design, prior, rng)
    weights = design.weights({("car", before): 1.0, ("car", after): -1.0})[None, :]
    means, sds = posterior.normals(weights)
    low, middle, high = quantiles(means, sds, (0.05, 0.5, 0.95), rng)[:, 0].tolist()
    spread_s = float(np.median(posterior.spread_s))
    matters = least_mattering(spread_s) if matters_s is None else matters_s
    slower = float(share_below(0.0, means, sds)[0])
    close = float((share_below(matters, means, sds) - share_below(-matters, means, sds))[0])
    counts = [_count(runs, {before}), _count(runs, {after})]
    return Gain(
        gain_s=middle,
        gain_low_s=low,
        gain_high_s=high,
        probability_gain=1.0 - slower,
        probability_too_close=close,
        verdict=decide(slower, close, min(counts), sure=HEADLINE_SURE),
        layout=layout,
        warning=WARNINGS[layout],
        runs_before=counts[0],
        runs_after=counts[1],
        runs_control=_count(runs, {run.car for run in runs} - {before, after}),
        spread_s=spread_s,
        spread_source=prior.spread.source,
        matters_s=matters,
        odd_runs=find_odd_runs(runs, posterior),
    )


def layout_of(runs: Sequence[TimedRun], before: str, after: str) -> Layout:
    """Return how before and after were run, from their order.

    A swap needs the part to have been put in and taken out again; a control needs another
    car, timed both before and after the change.
    """
    places = {
        car: [place for place, run in enumerate(runs) if run.car == car and run.time_s is not None]
        for car in {run.car for run in runs}
    }
    firsts, lasts = places[before], places[after]
    if min(lasts) < max(firsts) and min(firsts) < max(lasts):
        return Layout.SWAP
    change = max(firsts) if min(lasts) > max(firsts) else max(lasts)
    for car, own in places.items():
        if car not in (before, after) and own and own[0] < change < own[-1]:
            return Layout.CONTROL
    return Layout.PLAIN


def _extra_columns(
    runs: Sequence[TimedRun], before: str, after: str, layout: Layout, prior: Prior
) -> list[Column]:
    scale = prior.typical_s / REFERENCE_TIME_S
    changed = np.array([run.car in (before, after) for run in runs])
    columns = [Column("wear", "", _wear(runs, changed), _WEAR_S * scale)]
    if layout is Layout.SWAP:
        return columns
    for car in dict.fromkeys(run.car for run in runs if run.car not in (before, after)):
        own = np.array([run.car == car for run in runs])
        columns.append(Column("wear", car, _wear(runs, own), _WEAR_S * scale))
    firsts = [place for place, run in enumerate(runs) if run.car == before]
    lasts = [place for place, run in enumerate(runs) if run.car == after]
    change = min(max(firsts), max(lasts))
    later = (np.arange(len(runs)) > change).astype(np.float64)
    step = _STEP_S if layout is Layout.CONTROL else _PLAIN_STEP_S
    columns.append(Column("step", "", later, step * scale))
    return columns


def _wear(runs: Sequence[TimedRun], own: Mask) -> npt.NDArray[np.float64]:
    """Return exp(−t/4), t counting a car's own runs within an outing from 0."""
    chosen = [replace(run, order=None) for run, mine in zip(runs, own, strict=True) if mine]
    values = np.zeros(len(runs))
    values[own] = np.exp(-(run_orders(chosen) - 1.0) / WEAR_RUNS)
    return values


def _count(runs: Sequence[TimedRun], cars: set[str]) -> int:
    return sum(run.car in cars and run.time_s is not None for run in runs)


def _check(runs: Sequence[TimedRun], before: str, after: str, matters_s: float | None) -> None:
    problems = []
    if before == after:
        problems.append(Problem("after", repr(after), "another name than before"))
    known = ", ".join(list(dict.fromkeys(run.car for run in runs))[:8]) or "none"
    for where, car in (("before", before), ("after", after)):
        if _count(runs, {car}) == 0:
            problems.append(Problem(where, f"{car!r}, which has no time", f"one of: {known}"))
    if matters_s is not None and not matters_s > 0.0:
        problems.append(Problem("matters_s", f"{matters_s:g}", "more than 0 s"))
    if problems:
        raise InvalidInput(problems)
