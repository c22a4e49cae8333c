"""Answer a question asked in a table of runs: what a change gained."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillbench.timing.gain import Gain, measure_gain
from hillbench.timing.reading import Reading
from hillbench.timing.stopping import Verdict
from hillbench.usecases.compare_file import SEED, OddRunAnswer
from hillbench.usecases.tell_comparison import tell_gain

_VERDICTS = {Verdict.FIRST: "loss", Verdict.SECOND: "gain"}


@dataclass(frozen=True, slots=True)
class GainAnswer:
    """What a change gained; see `hillbench.timing.gain.Gain`.

    Attributes
    ----------
    verdict
        ``gain``, ``loss``, ``too close to matter`` or ``keep running``.
    """

    sentence: str
    before: str
    after: str
    gain_s: float
    gain_low_s: float
    gain_high_s: float
    probability_gain: float
    probability_too_close: float
    verdict: str
    layout: str
    warning: str
    runs_before: int
    runs_after: int
    runs_control: int
    spread_s: float
    spread_prior: str
    matters_s: float
    odd_runs: tuple[OddRunAnswer, ...]
    problems: tuple[str, ...]
    questions: tuple[str, ...]


def gain_of(reading: Reading, before: str, after: str, matters_s: float | None = None) -> Gain:
    """Return what the change gained; raises `InvalidInput` if before or after has no time."""
    rng = np.random.default_rng(SEED)
    return measure_gain(reading.runs, before, after, rng, matters_s=matters_s)


def answer_of(gain: Gain, reading: Reading, before: str, after: str) -> GainAnswer:
    """Return a gain in the form of the answer file."""
    return GainAnswer(
        sentence=tell_gain(gain),
        before=before,
        after=after,
        gain_s=gain.gain_s,
        gain_low_s=gain.gain_low_s,
        gain_high_s=gain.gain_high_s,
        probability_gain=gain.probability_gain,
        probability_too_close=gain.probability_too_close,
        verdict=_VERDICTS.get(gain.verdict, str(gain.verdict)),
        layout=str(gain.layout),
        warning=gain.warning,
        runs_before=gain.runs_before,
        runs_after=gain.runs_after,
        runs_control=gain.runs_control,
        spread_s=gain.spread_s,
        spread_prior=gain.spread_source,
        matters_s=gain.matters_s,
        odd_runs=tuple(
            OddRunAnswer(run.row, run.car, run.time_s, run.probability, run.why)
            for run in gain.odd_runs
        ),
        problems=tuple(problem.sentence() for problem in reading.problems),
        questions=tuple(question.sentence() for question in reading.questions),
    )
