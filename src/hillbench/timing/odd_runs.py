"""Runs that are more likely odd than clean, and why."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from hillbench.timing.comparison import OddRun
from hillbench.timing.posterior import Posterior
from hillbench.timing.run import RunNote, TimedRun

ODD: Final = 0.5
"""Probability of not being clean from which a run is flagged; it is never deleted."""


def find_odd_runs(runs: Sequence[TimedRun], posterior: Posterior) -> tuple[OddRun, ...]:
    """Return the runs that are more likely odd than clean, in the order run."""
    design = posterior.design
    places = [place for place, run in enumerate(runs) if run.time_s is not None]
    fitted = design.loadings() @ (posterior.turn @ np.median(posterior.means, axis=0))
    odd = []
    for at in np.flatnonzero(posterior.bad_probability > ODD):
        run, time_s = design.runs[at], float(design.time_s[at])
        excess_s = time_s - float(fitted[at])
        odd.append(
            OddRun(
                place=places[at],
                row=run.row,
                car=run.car,
                time_s=time_s,
                probability=float(posterior.bad_probability[at]),
                excess_s=excess_s,
                why=_why(run, excess_s),
            )
        )
    return tuple(odd)


def _why(run: TimedRun, excess_s: float) -> str:
    size = f"{abs(excess_s):.2f} s" if abs(excess_s) >= 0.1 else f"{abs(excess_s):.3f} s"
    if excess_s < 0.0:
        why = f"{size} faster than {run.car} can be expected to be there: a misfired timer?"
    else:
        why = f"{size} slower than {run.car} typically is there"
    return why if run.note is RunNote.CLEAN else f"noted as {run.note}; {why}"
