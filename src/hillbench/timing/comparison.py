"""The answer to "which car is faster": one entry for each car, pair and odd run."""

from __future__ import annotations

from dataclasses import dataclass

from hillbench.timing.stopping import Verdict
from hillbench.timing.textbook import REPEATABILITY_FACTOR


@dataclass(frozen=True, slots=True)
class CarTimes:
    """One car.

    Attributes
    ----------
    car
        Its name.
    typical_time_s
        Time it typically takes, without lane, drift and bad runs; None without a timed run.
    typical_low_s, typical_high_s
        90 % interval of it.
    best_time_s
        Best time of a run; a time that looks like a misfired timer is not taken for it.
    runs
        Runs with a time.
    unfinished
        Runs without one.
    repeatability_s
        Standard deviation of its own runs without the odd ones; None for fewer than two.
    probability_fastest
        Probability that it is the fastest of all cars with a time.
    """

    car: str
    typical_time_s: float | None
    typical_low_s: float | None
    typical_high_s: float | None
    best_time_s: float | None
    runs: int
    unfinished: int
    repeatability_s: float | None
    probability_fastest: float | None


@dataclass(frozen=True, slots=True)
class PairGap:
    """Two cars, the second less the first.

    Attributes
    ----------
    first, second
        Names of the cars.
    gap_s, gap_low_s, gap_high_s
        Median and 90 % interval of the second car's time less the first's.
    probability_first_faster
        Probability that the gap is more than 0.
    probability_too_close
        Probability that the gap is less than what matters, either way.
    verdict
        What the runs so far say.
    sure_for_headline
        Whether a claim also holds at 97.5 %, as asked before saying that a change works.
    runs_still_needed
        More runs of each car until a verdict is as likely as not; 0 with a verdict, None where
        more than 60 would be needed.
    """

    first: str
    second: str
    gap_s: float
    gap_low_s: float
    gap_high_s: float
    probability_first_faster: float
    probability_too_close: float
    verdict: Verdict
    sure_for_headline: bool
    runs_still_needed: int | None


@dataclass(frozen=True, slots=True)
class OddRun:
    """A run that is probably no clean one; it is kept, and counts for little.

    Attributes
    ----------
    place
        Place of the run in the list asked about, from 0.
    row
        Row of the file or form it came from.
    car, time_s
        The run.
    probability
        Probability that it is not clean.
    excess_s
        How much slower it is than its car's typical run there; negative for faster.
    why
        The reason, in words.
    """

    place: int
    row: int | None
    car: str
    time_s: float
    probability: float
    excess_s: float
    why: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """The answer.

    Attributes
    ----------
    cars
        In order of first appearance.
    pairs
        Every two cars with a time, the first named first.
    odd_runs
        Runs that are more likely odd than clean, in the order run.
    spread_s
        Standard deviation of one clean run, common to all cars.
    spread_source
        Where the prior of the spread came from.
    matters_s
        Gap below which nobody cares.
    matters_given
        Whether the user said so; else one spread is taken.
    runs_to_see_it
        Runs of each car by which a gap of `matters_s` would be claimed with 80 % chance.
    """

    cars: tuple[CarTimes, ...]
    pairs: tuple[PairGap, ...]
    odd_runs: tuple[OddRun, ...]
    spread_s: float
    spread_source: str
    matters_s: float
    matters_given: bool
    runs_to_see_it: float | None

    @property
    def repeatability_limit_s(self) -> float:
        """Difference that two runs of one car exceed only once in twenty."""
        return REPEATABILITY_FACTOR * self.spread_s

    def ranking(self) -> tuple[CarTimes, ...]:
        """Return the cars with a time, typically fastest first."""
        timed = [car for car in self.cars if car.typical_time_s is not None]
        return tuple(sorted(timed, key=lambda car: car.typical_time_s or 0.0))

    def pair(self, first: str, second: str) -> PairGap:
        """Return the entry of two cars, in whichever order they stand."""
        for pair in self.pairs:
            if {pair.first, pair.second} == {first, second}:
                return pair
        raise KeyError(f"no pair of {first} and {second}")
