"""Which car is faster, and how sure that is."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from hillbench.errors import InvalidInput, Problem
from hillbench.timing.comparison import CarTimes, Comparison, OddRun, PairGap
from hillbench.timing.design import Design, Floats, build_design
from hillbench.timing.history import spread_from_history
from hillbench.timing.odd_runs import find_odd_runs
from hillbench.timing.posterior import Posterior, quantiles, share_below
from hillbench.timing.prior import Prior, SpreadPrior, prior_for
from hillbench.timing.run import RunNote, TimedRun
from hillbench.timing.sampler import sample
from hillbench.timing.stopping import (
    HEADLINE_SURE,
    Verdict,
    decide,
    least_mattering,
    pairs_still_needed,
    runs_to_see,
)
from hillbench.timing.textbook import mean_and_sd

MOST_CARS: Final = 80
"""Cars that can be compared at once."""

_SHARES: Final = (0.05, 0.5, 0.95)
_MOST_PAIR_DRAWS: Final = 600_000


def compare(
    runs: Sequence[TimedRun],
    rng: np.random.Generator,
    *,
    matters_s: float | None = None,
    earlier: Sequence[TimedRun] = (),
    spread: SpreadPrior | None = None,
    reading_uncertainty_s: float = 0.0,
) -> Comparison:
    """Return which car is faster, by how much, how sure, and what is odd.

    Parameters
    ----------
    runs
        Runs in the order run, any number of cars, lanes and outings of one track; at least
        one with a time.
    rng
        Source of randomness; the same state gives the same answer.
    matters_s
        Gap below which nobody cares, s; one spread of a run if not given.
    earlier
        Earlier runs on the track, for the spread; from 20 on they count.
    spread
        What earlier runs say about the spread where that is known already, in their place.
    reading_uncertainty_s
        Standard uncertainty of one reading of the clock, s.

    Raises
    ------
    InvalidInput
        If no run has a time, there are more than 80 cars, or `matters_s` is not positive.

    Notes
    -----
    time = mean + car + lane + outing + drift · (order − middle) + σ N(0, 1), plus Exp(bad_s)
    in a bad run; `hillbench.timing.prior` has the constants, ``docs/theory/timing.md`` the
    derivation and the trials.
    """
    _check(runs, matters_s)
    prior = prior_of(runs, rng, earlier, reading_uncertainty_s, spread)
    posterior = sample(build_design(runs, prior), prior, rng)
    spread_s = float(np.median(posterior.spread_s))
    matters = least_mattering(spread_s) if matters_s is None else matters_s
    odd = find_odd_runs(runs, posterior)
    return Comparison(
        cars=_cars(runs, posterior, odd, rng),
        pairs=_pairs(posterior, spread_s, matters, rng),
        odd_runs=odd,
        spread_s=spread_s,
        spread_source=prior.spread.source,
        matters_s=matters,
        matters_given=matters_s is not None,
        runs_to_see_it=runs_to_see(matters, spread_s) if matters > 0.0 else None,
    )


def prior_of(
    runs: Sequence[TimedRun],
    rng: np.random.Generator,
    earlier: Sequence[TimedRun] = (),
    reading_uncertainty_s: float = 0.0,
    spread: SpreadPrior | None = None,
) -> Prior:
    """Return what is known before these runs, scaled to their typical time."""
    typical = float(np.median([run.time_s for run in runs if run.time_s is not None]))
    return prior_for(
        typical,
        spread=spread if spread is not None else spread_from_history(earlier, rng),
        reading_uncertainty_s=reading_uncertainty_s,
    )


def _check(runs: Sequence[TimedRun], matters_s: float | None) -> None:
    problems = []
    if all(run.time_s is None for run in runs):
        seen = f"{len(runs)} runs, none of them with a time"
        problems.append(Problem("runs", seen, "at least one run with a time", "run again"))
    cars = len({run.car for run in runs})
    if cars > MOST_CARS:
        problems.append(Problem("runs", f"of {cars} cars", f"at most {MOST_CARS} cars at once"))
    if matters_s is not None and not (math.isfinite(matters_s) and matters_s > 0.0):
        problems.append(Problem("matters_s", f"{matters_s:g}", "more than 0 s"))
    if problems:
        raise InvalidInput(problems)


def _cars(
    runs: Sequence[TimedRun],
    posterior: Posterior,
    odd: Sequence[OddRun],
    rng: np.random.Generator,
) -> tuple[CarTimes, ...]:
    names, weights = _car_weights(posterior.design)
    draws = posterior.draws(weights, rng)
    low, typical, high = quantiles(*posterior.normals(weights), _SHARES, rng)
    fastest = np.bincount(draws.argmin(axis=1), minlength=len(names)) / len(draws)
    place_of = {name: place for place, name in enumerate(names)}
    odd_places = {run.place: run for run in odd}
    answers = []
    for car in dict.fromkeys(run.car for run in runs):
        own = [(place, run) for place, run in enumerate(runs) if run.car == car]
        times = {place: run.time_s for place, run in own if run.time_s is not None}
        at = place_of.get(car)
        answers.append(
            CarTimes(
                car=car,
                typical_time_s=None if at is None else float(typical[at]),
                typical_low_s=None if at is None else float(low[at]),
                typical_high_s=None if at is None else float(high[at]),
                best_time_s=_best(times, odd_places),
                runs=len(times),
                unfinished=len(own) - len(times),
                repeatability_s=_own_spread(runs, times, odd_places),
                probability_fastest=None if at is None else float(fastest[at]),
            )
        )
    return tuple(answers)


def _best(times: dict[int, float], odd: dict[int, OddRun]) -> float | None:
    """Return the best time, not counting one that looks like a misfire."""
    real = [time for place, time in times.items() if place not in odd or odd[place].excess_s > 0.0]
    return min(real or times.values(), default=None)


def _own_spread(
    runs: Sequence[TimedRun], times: dict[int, float], odd: dict[int, OddRun]
) -> float | None:
    clean = [
        time
        for place, time in times.items()
        if place not in odd and runs[place].note is RunNote.CLEAN
    ]
    return mean_and_sd(clean)[1] if len(clean) > 1 else None


def _car_weights(design: Design) -> tuple[list[str], Floats]:
    """Return the cars with a time, and the weights that make up their typical times."""
    timed = dict.fromkeys(run.car for run in design.runs)
    weights = [design.weights({("mean", ""): 1.0, ("car", car): 1.0}) for car in timed]
    return list(timed), np.stack(weights)


def _pairs(
    posterior: Posterior, spread_s: float, matters_s: float, rng: np.random.Generator
) -> tuple[PairGap, ...]:
    names, weights = _car_weights(posterior.design)
    places = list(itertools.combinations(range(len(names)), 2))
    if not places:
        return ()
    first, second = np.array(places).T
    thinned = posterior.thinned(_MOST_PAIR_DRAWS // len(places))
    means, sds = thinned.normals(weights[second] - weights[first])
    low, middle, high = quantiles(means, sds, _SHARES, rng)
    below = share_below(0.0, means, sds)
    close = share_below(matters_s, means, sds) - share_below(-matters_s, means, sds)
    counts = np.array([sum(run.car == name for run in posterior.design.runs) for name in names])
    least = np.minimum(counts[first], counts[second])
    gap_sd = np.maximum((high - low) / 3.2897, 1e-9)
    needed = pairs_still_needed(middle, gap_sd, spread_s, matters_s, least)
    answers = []
    for at, (a, b) in enumerate(places):
        faster = float(1.0 - below[at])
        verdict = decide(faster, float(close[at]), int(least[at]))
        more = 0 if verdict is not Verdict.KEEP_RUNNING else int(needed[at])
        answers.append(
            PairGap(
                first=names[a],
                second=names[b],
                gap_s=float(middle[at]),
                gap_low_s=float(low[at]),
                gap_high_s=float(high[at]),
                probability_first_faster=faster,
                probability_too_close=float(close[at]),
                verdict=verdict,
                sure_for_headline=max(faster, 1.0 - faster) > HEADLINE_SURE,
                runs_still_needed=more if more >= 0 else None,
            )
        )
    return tuple(answers)
