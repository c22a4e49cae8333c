"""Who is fastest by the times of a meet, and how sure that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import numpy.typing as npt

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.heat_time import HeatTime as HeatTime  # noqa: PLC0414 (part of this face)
from hillbench.racing.mixed_model import Floats, Group, MixedFit, fit_mixed, posterior_at

DEGREES: Final = 4.0
"""Degrees of freedom of the t distribution of a run: a bad run counts little."""

LIKELY_RATIO: Final = {"car": 2.0, "lane": 0.6, "heat": 0.4}
"""Most likely spread of cars, lanes and heats, as a ratio to the spread of a run."""

_LOOPS: Final = 20
_STEPS_A_LOOP: Final = 2
_SETTLED: Final = 0.01
_DRAWS: Final = 20_000
_REACH: Final = 1.6449
_WIDE: Final = 10.0


@dataclass(frozen=True, slots=True)
class Standing:
    """One car in the ranking by the model.

    Attributes
    ----------
    place
        1 for the fastest.
    car
        Number of the car.
    typical_time_s
        Time of a clean run on a typical lane in a typical heat, s; None without any time.
    standard_uncertainty_s
        Of its gap to the typical car of the meet, s; None without any time.
    fastest_probability
        Probability that it is the fastest of those with a time.
    runs
        Runs with a time that count.
    no_finishes
        Runs without one that count.
    best_time_s
        Its best time, s.
    """

    place: int
    car: int
    typical_time_s: float | None
    standard_uncertainty_s: float | None
    fastest_probability: float
    runs: int
    no_finishes: int
    best_time_s: float | None


@dataclass(frozen=True, slots=True)
class LaneEffect:
    """How one lane differs from the mean of all.

    Attributes
    ----------
    lane
        Number of the lane.
    slower_s
        What a run takes longer there, s; negative on a fast lane.
    low_s, high_s
        Its 90 % interval, s.
    """

    lane: int
    slower_s: float
    low_s: float
    high_s: float

    @property
    def differs(self) -> bool:
        """Whether the interval leaves out zero."""
        return self.low_s > 0.0 or self.high_s < 0.0


@dataclass(frozen=True, slots=True)
class TimedResult:
    """What the times of a meet say.

    Attributes
    ----------
    standings
        The cars, fastest first; those without any time last.
    lanes
        The lanes with a time; empty with one lane.
    run_sd_s, car_sd_s, lane_sd_s, heat_sd_s
        Spread of the runs of a car and between cars, lanes and heats, s; 0 where there is
        nothing to tell it from.
    odd_runs
        Rows far from what the model expects, by place in the input.
    """

    standings: tuple[Standing, ...]
    lanes: tuple[LaneEffect, ...]
    run_sd_s: float
    car_sd_s: float
    lane_sd_s: float
    heat_sd_s: float
    odd_runs: tuple[int, ...]


def rank_by_time(
    rows: Sequence[HeatTime], *, rng: np.random.Generator, resolution_s: float = 0.001
) -> TimedResult:
    """Rank cars by their times, lanes and heats taken out.

    Parameters
    ----------
    rows
        What each car did in each heat; void rows do not count.
    rng
        Source of randomness for the odds.
    resolution_s
        Smallest step of the timer, s.

    Raises
    ------
    InvalidInput
        If fewer than two cars or three rows have a time, or a time is not positive.

    Notes
    -----
    y = mean + car + lane + heat + σ t, with t of 4 degrees of freedom: iteratively reweighted,
    each weight (ν + 1)/(ν + E r²/σ²) (K. L. Lange, R. J. A. Little and J. M. G. Taylor, Robust
    statistical modeling using the t distribution, Journal of the American Statistical
    Association 84 (1989), 881-896). All effects scatter about zero with spreads estimated by
    `fit_mixed`. Missing runs need nothing special: a car is judged by the runs it has, beside
    those it ran against.
    """
    kept = [place for place, row in enumerate(rows) if not row.void and row.time_s is not None]
    timed = [rows[place] for place in kept]
    _check(timed)
    time_s = np.array([row.time_s for row in timed], dtype=np.float64)
    groups, names = _groups(timed)
    fit, weight = _fit_t(time_s, groups, resolution_s)
    # Few lanes say little about how lanes scatter, so what is told of them is not drawn to 0.
    spreads = {group.name: sd for group, sd in zip(groups, fit.group_sd, strict=True)}
    wide = [_WIDE * fit.residual_sd if name == "lane" else sd for name, sd in spreads.items()]
    effects, covariance = posterior_at(
        time_s, groups, wide, _run_variances(fit, weight, resolution_s)
    )
    car_s = effects[1 : 1 + len(names["car"])]
    chances, deviations = _odds(car_s, covariance, len(time_s), rng)
    cars = dict(zip(names["car"], zip(car_s, deviations, chances, strict=True), strict=True))
    return TimedResult(
        _standings(rows, cars, float(effects[0])),
        _lanes(effects, covariance, groups, names),
        fit.residual_sd,
        spreads["car"],
        spreads.get("lane", 0.0),
        spreads.get("heat", 0.0),
        tuple(kept[at] for at in np.flatnonzero(weight < 0.3)),
    )


def _check(timed: Sequence[HeatTime]) -> None:
    problems = []
    if len({row.car for row in timed}) < 2 or len(timed) < 3:
        problems.append(
            Problem("times", f"{len(timed)} of them", "three or more, of two or more cars")
        )
    wrong = [row for row in timed if not 0.0 < (row.time_s or 0.0) < 1e4]
    problems += [
        Problem(f"heat {row.heat}, lane {row.lane}", f"{row.time_s} s", "more than 0 s")
        for row in wrong
    ]
    if problems:
        raise InvalidInput(problems)


def _groups(timed: Sequence[HeatTime]) -> tuple[list[Group], dict[str, list[int]]]:
    """Return the groups that can be told apart, cars first, and what their levels are."""
    groups, names = [], {}
    for name in ("car", "lane", "heat"):
        values = np.array([getattr(row, name) for row in timed])
        levels, level = np.unique(values, return_inverse=True)
        if name == "car" or 1 < len(levels) < len(timed):
            groups.append(Group(name, level, len(levels), LIKELY_RATIO[name]))
            names[name] = [int(value) for value in levels]
    return groups, names


def _fit_t(time_s: Floats, groups: Sequence[Group], resolution_s: float) -> tuple[MixedFit, Floats]:
    columns = np.ones((len(time_s), 1))
    least_sd = resolution_s / np.sqrt(12.0)
    weight = np.ones(len(time_s))
    ratios = None
    for _ in range(_LOOPS):
        fit = fit_mixed(
            time_s,
            columns,
            groups,
            weight,
            least_sd=least_sd,
            start=ratios,
            most_steps=_STEPS_A_LOOP,
        )
        ratios = [sd / fit.residual_sd for sd in fit.group_sd]
        squares = (fit.residual**2 + fit.fitted_variance) / fit.residual_sd**2
        changed = (DEGREES + 1.0) / (DEGREES + squares)
        moved = float(np.max(np.abs(changed - weight)))
        weight = changed
        if moved < _SETTLED:
            break
    return fit, weight


def _run_variances(fit: MixedFit, weight: Floats, resolution_s: float) -> Floats:
    """Return the variance that each run has for the purpose of intervals, s².

    The weights alone promise too much: they take the runs weighed down as known to be bad. So
    the mean variance is that of an M-estimate, ψ² over the square of the mean slope of ψ, with
    its correction for few runs (P. J. Huber, Robust Statistics, 1981, section 7.6).
    """
    count = len(weight)
    used = float(weight @ fit.fitted_variance) / fit.residual_sd**2
    # Residuals are smaller than errors by what the effects have taken up.
    squares = (fit.residual / fit.residual_sd) ** 2 * count / max(count - used, 1.0)
    pull = (DEGREES + 1.0) ** 2 * squares / (DEGREES + squares) ** 2
    slope = (DEGREES + 1.0) * (DEGREES - squares) / (DEGREES + squares) ** 2
    mean = max(float(slope.mean()), 0.3)
    correction = 1.0 + min(used / count, 0.9) * float(slope.var()) / mean**2
    variance = fit.residual_sd**2 * (correction / mean) ** 2 * float(pull.mean())
    variance = max(variance, resolution_s**2 / 12.0)
    found: Floats = variance * weight.mean() / weight
    return found


def _odds(
    effects: Floats, whole: Floats, runs: int, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """Return each car's probability to be the fastest, and the deviation of its gap, s."""
    cars = len(effects)
    centre = np.eye(cars) - 1.0 / cars
    covariance = centre @ whole[1 : 1 + cars, 1 : 1 + cars] @ centre
    values, vectors = np.linalg.eigh(covariance)
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    # The spread of a run is an estimate too: t instead of normal.
    free = max(runs - cars, 1)
    stretch = np.sqrt(free / rng.chisquare(free, _DRAWS))
    noise = rng.standard_normal((_DRAWS, cars)) @ root.T * stretch[:, None]
    fastest = np.argmin(effects + noise, axis=1)
    return np.bincount(fastest, minlength=cars) / _DRAWS, np.sqrt(np.diag(covariance))


def _standings(
    rows: Sequence[HeatTime], cars: dict[int, tuple[float, float, float]], mean_s: float
) -> tuple[Standing, ...]:
    found = []
    for car in sorted({row.car for row in rows}):
        own = [row for row in rows if row.car == car and not row.void]
        times = [row.time_s for row in own if row.time_s is not None]
        effect_s, deviation_s, chance = cars.get(car, (None, None, 0.0))
        found.append(
            Standing(
                0,
                car,
                None if effect_s is None else mean_s + float(effect_s),
                None if deviation_s is None else float(deviation_s),
                float(chance),
                len(times),
                len(own) - len(times),
                min(times, default=None),
            )
        )
    found.sort(key=lambda one: (one.typical_time_s is None, one.typical_time_s or 0.0, one.car))
    return tuple(replace(one, place=place) for place, one in enumerate(found, start=1))


def _lanes(
    effects: Floats, covariance: Floats, groups: Sequence[Group], names: dict[str, list[int]]
) -> tuple[LaneEffect, ...]:
    if "lane" not in names:
        return ()
    which = [group.name for group in groups].index("lane")
    first = 1 + sum(group.levels for group in groups[:which])
    count = groups[which].levels
    centre = np.eye(count) - 1.0 / count
    slower_s: npt.NDArray[np.float64] = centre @ effects[first : first + count]
    block = covariance[first : first + count, first : first + count]
    reach = _REACH * np.sqrt(np.diag(centre @ block @ centre))
    return tuple(
        LaneEffect(lane, float(effect), float(effect - half), float(effect + half))
        for lane, effect, half in zip(names["lane"], slower_s, reach, strict=True)
    )
