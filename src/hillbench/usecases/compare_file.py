"""Answer a question asked in a table of runs: which car is faster."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hillbench.errors import InvalidInput, Problem
from hillbench.timing.compare import compare
from hillbench.timing.comparison import CarTimes, Comparison, PairGap
from hillbench.timing.reading import Reading, read_runs
from hillbench.usecases.tell_comparison import tell_comparison

SEED = 64
"""Seed of the sampler: the same table gives the same answer, here and in the app."""


@dataclass(frozen=True, slots=True)
class OddRunAnswer:
    """A run that is more likely odd than clean."""

    row: int | None
    car: str
    time_s: float
    probability: float
    why: str


@dataclass(frozen=True, slots=True)
class PairAnswer:
    """Two cars, the second less the first; `runs_still_needed` counts runs of each car."""

    first: str
    second: str
    gap_s: float
    gap_low_s: float
    gap_high_s: float
    probability_first_faster: float
    probability_too_close: float
    verdict: str
    runs_still_needed: int | None
    odd_runs: tuple[OddRunAnswer, ...]


@dataclass(frozen=True, slots=True)
class CompareAnswer:
    """The answer to a table of runs; see `hillbench.timing.comparison.Comparison`.

    Attributes
    ----------
    sentence
        The answer in words.
    cars, pairs, odd_runs
        One entry for each.
    spread_s, repeatability_limit_s
        Standard deviation of one clean run, and 2.8 times it.
    spread_prior
        Where the prior of the spread came from.
    matters_s
        Gap below which nobody cares.
    runs_to_see_it
        Runs of each car by which a gap of `matters_s` would be claimed with 80 % chance.
    problems, questions
        Rows set aside, and rows used that look doubtful, a sentence each.
    """

    sentence: str
    cars: tuple[CarTimes, ...]
    pairs: tuple[PairAnswer, ...]
    odd_runs: tuple[OddRunAnswer, ...]
    spread_s: float
    repeatability_limit_s: float
    spread_prior: str
    matters_s: float
    runs_to_see_it: float | None
    problems: tuple[str, ...]
    questions: tuple[str, ...]


def read_table(data: bytes) -> Reading:
    """Return the runs in a file; raises `InvalidInput` if no row can be used."""
    reading = read_runs(data)
    if not reading.runs:
        rows = Problem("file", "without a run that can be used", "one row for each run")
        raise InvalidInput([*reading.problems, rows])
    return reading


def compare_runs(reading: Reading, matters_s: float | None = None) -> Comparison:
    """Return which car is faster.

    Raises
    ------
    InvalidInput
        If fewer than two cars have a time, or `matters_s` is not positive.
    """
    timed = dict.fromkeys(run.car for run in reading.runs if run.time_s is not None)
    if len(timed) < 2:
        seen = f"those of one car ({next(iter(timed))})" if timed else "none with a time"
        problem = Problem("runs", seen, "timed runs of two or more cars", "time another car")
        raise InvalidInput([*reading.problems, problem])
    return compare(reading.runs, np.random.default_rng(SEED), matters_s=matters_s)


def answer_of(comparison: Comparison, reading: Reading) -> CompareAnswer:
    """Return a comparison in the form of the answer file."""
    odd = [
        OddRunAnswer(run.row, run.car, run.time_s, run.probability, run.why)
        for run in comparison.odd_runs
    ]
    return CompareAnswer(
        sentence=tell_comparison(comparison),
        cars=comparison.cars,
        pairs=tuple(_pair_answer(pair, odd) for pair in comparison.pairs),
        odd_runs=tuple(odd),
        spread_s=comparison.spread_s,
        repeatability_limit_s=comparison.repeatability_limit_s,
        spread_prior=comparison.spread_source,
        matters_s=comparison.matters_s,
        runs_to_see_it=comparison.runs_to_see_it,
        problems=tuple(problem.sentence() for problem in reading.problems),
        questions=tuple(question.sentence() for question in reading.questions),
    )


def _pair_answer(pair: PairGap, odd: Sequence[OddRunAnswer]) -> PairAnswer:
    return PairAnswer(
        first=pair.first,
        second=pair.second,
        gap_s=pair.gap_s,
        gap_low_s=pair.gap_low_s,
        gap_high_s=pair.gap_high_s,
        probability_first_faster=pair.probability_first_faster,
        probability_too_close=pair.probability_too_close,
        verdict=str(pair.verdict),
        runs_still_needed=pair.runs_still_needed,
        odd_runs=tuple(run for run in odd if run.car in (pair.first, pair.second)),
    )
