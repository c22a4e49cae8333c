"""Where the computed times do not meet the measured ones, and the likely cause."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.coasting.result import Floats
from hillbench.fitting.evidence import Evidence
from hillbench.fitting.fit import Fit
from hillbench.fitting.readings import AS_IT_IS, TimedRun

SURE: Final = 3.0
"""Standard errors from which on a mean residual is called a misfit."""

ODD: Final = 0.5
"""Probability of something gone wrong from which on a run is called odd."""

_WORTH_S: Final = 0.0005
_CONTRADICTION: Final = 0.025
_MANY_ODD: Final = 0.25
_FEWEST_ALIKE: Final = 3
_ALIKE: Final = 0.35


@dataclass(frozen=True, slots=True)
class Residual:
    """Measured less computed time of a group of times.

    Attributes
    ----------
    group
        What they have in common, in words.
    mean_s
        Mean, odd times counted less, s.
    error_s
        Standard error of the mean, s.
    count
        Number of times.
    """

    group: str
    mean_s: float
    error_s: float
    count: int

    @property
    def is_sure(self) -> bool:
        """Whether it is more than chance and large enough to matter."""
        return abs(self.mean_s) > max(SURE * self.error_s, _WORTH_S)


@dataclass(frozen=True, slots=True)
class OddRun:
    """A run in which something probably went wrong.

    Attributes
    ----------
    number
        Place of the run in the evidence, from 0.
    probability
        Probability of it.
    late_s
        Measured less computed time, s.
    """

    number: int
    probability: float
    late_s: float


@dataclass(frozen=True, slots=True)
class Misfit:
    """How the measured times depart from the computed ones.

    Attributes
    ----------
    by_stretch
        Residuals from reading to reading along the track.
    by_mass
        Residuals of whole runs by car and mass.
    odd_runs
        Runs that count less.
    causes
        Likely causes, each one sentence; empty where all is well.
    """

    by_stretch: tuple[Residual, ...]
    by_mass: tuple[Residual, ...]
    odd_runs: tuple[OddRun, ...]
    causes: tuple[str, ...]


def find_misfit(fit: Fit) -> Misfit:
    """Return residuals at the middle of the posterior, grouped, with their likely cause."""
    timing = fit.objective.timing
    if not len(timing.time_s):
        return Misfit((), (), (), ())
    scores = fit.best[None, :]
    computed = fit.objective.predictor.predict(scores)[0]
    residual = timing.time_s - computed[timing.which]
    wrong = fit.objective.bad_probability(scores[0])
    scatter_s = fit.layout.unknowns[-2].values(scores[0, -2:-1])
    deviation = timing.scatter.deviation_s(scatter_s)
    times = _Times(residual, 1.0 - wrong, deviation)
    by_stretch = times.means(_stretch_names(fit))
    by_mass = times.means(_mass_names(fit))
    odd = tuple(_odd_runs(fit, residual, wrong))
    slope = _mass_slope(fit, times)
    causes = tuple(_causes(fit, by_stretch, slope, odd, float(scatter_s[0])))
    return Misfit(by_stretch, by_mass, odd, causes)


@dataclass(frozen=True, slots=True)
class _Times:
    residual: Floats
    weight: Floats
    deviation: Floats

    def means(self, names: Sequence[str]) -> tuple[Residual, ...]:
        groups: dict[str, list[int]] = defaultdict(list)
        for number, name in enumerate(names):
            groups[name].append(number)
        return tuple(self._mean(name, np.array(at)) for name, at in groups.items())

    def _mean(self, name: str, at: np.ndarray[tuple[int], np.dtype[np.intp]]) -> Residual:
        weight = self.weight[at] / self.deviation[at] ** 2
        total = max(float(np.sum(weight)), 1e-12)
        mean = float(np.sum(weight * self.residual[at])) / total
        return Residual(name, mean, total**-0.5, len(at))


def _stretch_names(fit: Fit) -> list[str]:
    timing = fit.objective.timing
    names = [_stretch_name(fit.evidence, begin, end) for _, begin, end in timing.stretches]
    return [names[stretch] for stretch in timing.which]


def _stretch_name(evidence: Evidence, begin: int, end: int) -> str:
    low, high = _ends_m(evidence, begin, end)
    return f"{low:g} to {high:g} m"


def _ends_m(evidence: Evidence, begin: int, end: int) -> tuple[float, float]:
    places = (*evidence.track.gates_at_m, evidence.track.finish_at_m)
    return (0.0 if begin < 0 else places[begin]), places[end]


def _mass_names(fit: Fit) -> list[str]:
    timing = fit.objective.timing
    setups = [timing.setups[setup] for setup, _, _ in timing.stretches]
    names = [f"{_named(setup.name, setup.state)}, {setup.car.mass_g:g} g" for setup in setups]
    return [names[stretch] for stretch in timing.which]


def _named(car: str, state: str) -> str:
    return car if state == AS_IT_IS else f"{car} ({state})"


def _mass_slope(fit: Fit, times: _Times) -> tuple[float, float]:
    """Return the slope of the residuals with mass within each car, s/g, and its error."""
    timing = fit.objective.timing
    setups = [timing.setups[setup] for setup, _, _ in timing.stretches]
    mass = np.array([setups[stretch].car.mass_g for stretch in timing.which])
    owner = np.array([setups[stretch].owner for stretch in timing.which])
    weight = times.weight / times.deviation**2
    centred = mass.copy()
    for name in np.unique(owner):
        at = owner == name
        centred[at] -= np.average(mass[at], weights=np.maximum(weight[at], 1e-12))
    square = float(np.sum(weight * centred**2))
    if square < 1e-12:
        return 0.0, np.inf
    return float(np.sum(weight * centred * times.residual)) / square, square**-0.5


def _odd_runs(fit: Fit, residual: Floats, wrong: Floats) -> Iterator[OddRun]:
    fine: dict[int, float] = defaultdict(lambda: 1.0)
    late: Mapping[int, float] = defaultdict(float)
    for run, off, bad in zip(fit.objective.timing.run.tolist(), residual, wrong, strict=True):
        fine[run] *= 1.0 - float(bad)
        late[run] += float(off)  # type: ignore[index]
    for run, share in fine.items():
        if 1.0 - share > ODD:
            yield OddRun(run, 1.0 - share, late[run])


def _causes(
    fit: Fit,
    by_stretch: Sequence[Residual],
    slope: tuple[float, float],
    odd: Sequence[OddRun],
    scatter_s: float,
) -> Iterator[str]:
    runs = fit.statistics.runs
    if scatter_s > _CONTRADICTION * fit.objective.timing.typical_s:
        yield (
            f"Runs of the same car in the same state contradict each other: they scatter by "
            f"{scatter_s:.2f} s. Look for a change between them that nobody noted (the track, the "
            "oil, a rebuilt car), and note it."
        )
    alike = tuple(_alike(fit, odd))
    yield from alike
    if not alike and runs >= 4 and len(odd) > _MANY_ODD * runs:
        yield (
            f"{len(odd)} of {runs} runs look odd, more than chance would make: look at the track "
            "for a joint or a gate that catches."
        )
    if abs(slope[0]) > SURE * slope[1]:
        heavier = "faster" if slope[0] < 0.0 else "slower"
        cause = (
            "a bearing friction that falls with the load would do that, or wrong masses"
            if slope[0] < 0.0 and not fit.evidence.fit_load_exponent
            else "look at the masses, and at what else changed with the weight"
        )
        yield (
            f"Heavier cars are {heavier} than computed by {abs(slope[0]) * 10:.3f} s for each "
            f"10 g: {cause}."
        )
    for residual in by_stretch:
        if residual.is_sure and len(by_stretch) > 1:
            yield _stretch_cause(fit.evidence, residual)


def _alike(fit: Fit, odd: Sequence[OddRun]) -> Iterator[str]:
    """Yield a sentence for each car and mass many of whose runs are late by about the same."""
    runs = fit.evidence.runs
    late: dict[tuple[str, str, float], list[float]] = defaultdict(list)
    for one in odd:
        late[_group(fit.evidence, runs[one.number])].append(one.late_s)
    groups = [_group(fit.evidence, run) for run in runs]
    for group, each in late.items():
        mean, spread = float(np.mean(each)), float(np.std(each))
        if len(each) < _FEWEST_ALIKE or spread >= _ALIKE * abs(mean):
            continue
        car, state, mass_g = group
        masses = {other[2] for other in groups if other[:2] == group[:2]}
        name = _named(car, state) + (f" at {mass_g:g} g" if len(masses) > 1 else "")
        how = f"about {abs(mean):.2f} s {'slower' if mean > 0.0 else 'faster'}"
        yield _alike_cause(name, len(each), groups.count(group), how)


def _group(evidence: Evidence, run: TimedRun) -> tuple[str, str, float]:
    mass_g = evidence.known_car(run.car).car.mass_g if run.mass_g is None else run.mass_g
    return run.car, run.state, mass_g


def _alike_cause(name: str, odd: int, count: int, how: str) -> str:
    if odd == count:
        return (
            f"All {count} runs of {name} are {how} than all else says: look at its weighing, its "
            "spin-down and its lubricant, and whether they were so when it ran."
        )
    return (
        f"{odd} of {count} runs of {name} are all {how} than the others: that is hardly chance. "
        "Something was different then, such as the oil or the weight; note what, and when."
    )


def _stretch_cause(evidence: Evidence, residual: Residual) -> str:
    low, high = (float(text) for text in residual.group.removesuffix(" m").split(" to "))
    how = "slower" if residual.mean_s > 0.0 else "faster"
    bends = [b for b in evidence.track.bends if b.to_m > low and b.from_m < high]
    if low == 0.0:
        cause = "look at when the clock starts, the slope at the top, and the start gate"
    elif bends:
        cause = "look at the length, turn and bank of the bends there, and at their joints"
    else:
        cause = "look at the slope there"
    return (
        f"From {residual.group} all cars are {how} than computed by {abs(residual.mean_s):.3f} s:"
        f" {cause}."
    )
