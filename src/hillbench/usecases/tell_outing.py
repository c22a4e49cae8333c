"""Tell how an outing stands in one sentence."""

from __future__ import annotations

from collections.abc import Sequence

from hillbench.records.entities import TimedRun
from hillbench.timing.compare import MOST_CARS
from hillbench.timing.comparison import Comparison
from hillbench.usecases.tell_comparison import tell_comparison


def tell_outing(
    comparison: Comparison | None, runs: Sequence[TimedRun], next_cars: Sequence[str]
) -> str:
    """Return the answer, or what to do first.

    Parameters
    ----------
    comparison
        Which car is faster; None where no run has a time.
    runs
        Runs so far.
    next_cars
        Whose turn it is.
    """
    if comparison is not None:
        return tell_comparison(comparison)
    who = " and ".join(next_cars) or "a car"
    if not runs:
        return f"Run {who} first."
    if any(run.finish_time_s is not None for run in runs):
        cars = len({run.car_id for run in runs})
        return f"{cars} cars are too many to compare at once; {MOST_CARS} can be."
    word = "The only run has" if len(runs) == 1 else f"None of the {len(runs)} runs has"
    none = " no" if len(runs) == 1 else " a"
    return f"{word}{none} time, so nothing can be compared yet; run {who} next."
