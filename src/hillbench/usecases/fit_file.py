"""Answer a fit asked for in a file: what a hill and its cars are made of."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from hillbench.errors import InvalidInput, Problem
from hillbench.fitting.ellipse_sampler import Progress
from hillbench.fitting.evidence import Evidence
from hillbench.fitting.finding import Finding, find_load_losses, find_unknowns
from hillbench.fitting.fit import Fit, FitStatistics, fit
from hillbench.fitting.misfit import Misfit, OddRun, Residual, find_misfit
from hillbench.usecases.question import read_question
from hillbench.usecases.tell_fit import tell_fit, tell_notes


@dataclass(frozen=True, slots=True)
class FitQuestion(Evidence):
    """Track, cars, runs and tests to be fitted.

    Attributes
    ----------
    seed
        Start of the random numbers; the same file and seed give the same answer.
    """

    seed: int = 1


@dataclass(frozen=True, slots=True)
class UnknownAnswer:
    """One unknown before and after the readings; each interval holds 90 %.

    Attributes
    ----------
    name, owner, unit
        What it is, whose, and in which unit.
    prior_low, prior_median, prior_high
        Beforehand.
    low, median, high
        Afterwards.
    left
        Standard deviation afterwards over beforehand.
    knowledge
        ``known``, ``partly known`` or ``not known``.
    source
        Source of what was believed beforehand.
    """

    name: str
    owner: str
    unit: str
    prior_low: float
    prior_median: float
    prior_high: float
    low: float
    median: float
    high: float
    left: float
    knowledge: str
    source: str


@dataclass(frozen=True, slots=True)
class FitAnswer:
    """What a fit gave.

    Attributes
    ----------
    status
        ``fitted``, ``sampled`` (the normal shape did not do), ``no_readings`` or
        ``not_converged``.
    sentence
        The answer in one sentence.
    notes
        What cannot be known, what does not fit and what to do about it, a sentence each.
    unknowns
        Every unknown before and after; ``load_loss`` is rolling and bearings together.
    residuals_by_stretch, residuals_by_mass
        Measured less computed times in groups.
    odd_runs
        Runs in which something probably went wrong, by their place in the file, from 0.
    statistics
        How the fit went.
    """

    status: str
    sentence: str
    notes: tuple[str, ...]
    unknowns: tuple[UnknownAnswer, ...]
    residuals_by_stretch: tuple[Residual, ...]
    residuals_by_mass: tuple[Residual, ...]
    odd_runs: tuple[OddRun, ...]
    statistics: FitStatistics


@dataclass(frozen=True, slots=True)
class FitFindings:
    """A fit with what it found.

    Attributes
    ----------
    fit
        The fit.
    findings
        Load losses, then every unknown.
    misfit
        Where computed and measured times differ.
    """

    fit: Fit
    findings: tuple[Finding, ...]
    misfit: Misfit


def read_fit_question(text: str) -> FitQuestion:
    """Return the question in a JSON text; raises `InvalidInput` with every problem of form."""
    return read_question(text, FitQuestion)


def run_fit(question: FitQuestion, progress: Progress | None = None) -> FitFindings:
    """Run the fit that is asked for; raises `InvalidInput` with every problem of content."""
    rng = chance(question.seed)
    fitted = fit(question, rng, progress=progress)
    return findings_of(fitted, rng)


def findings_of(fitted: Fit, rng: np.random.Generator) -> FitFindings:
    """Return what a fit found."""
    findings = (*find_load_losses(fitted, rng), *find_unknowns(fitted))
    return FitFindings(fitted, findings, find_misfit(fitted))


def fit_answer(found: FitFindings) -> FitAnswer:
    """Return a fit in the form of the answer file."""
    return FitAnswer(
        status=str(found.fit.status),
        sentence=tell_fit(found.fit, found.findings),
        notes=tell_notes(found.fit, found.findings, found.misfit),
        unknowns=tuple(_unknown(one) for one in found.findings),
        residuals_by_stretch=found.misfit.by_stretch,
        residuals_by_mass=found.misfit.by_mass,
        odd_runs=found.misfit.odd_runs,
        statistics=finite_statistics(found.fit.statistics),
    )


def chance(seed: int) -> np.random.Generator:
    """Return the source of chance that a seed begins; raises `InvalidInput` for one below 0."""
    if seed < 0:
        raise InvalidInput([Problem("seed", f"{seed}", "a whole number, 0 or more")])
    return np.random.default_rng(seed)


def _unknown(one: Finding) -> UnknownAnswer:
    named = {field.name: getattr(one, field.name) for field in dataclasses.fields(UnknownAnswer)}
    return UnknownAnswer(**named | {"knowledge": str(one.knowledge)})


def finite_statistics(statistics: FitStatistics) -> FitStatistics:
    """Return the statistics with a shape that JSON can hold."""
    shape = min(max(statistics.pareto_shape, -10.0), 10.0)
    return dataclasses.replace(statistics, pareto_shape=shape)
