"""Compare the cars of an outing, with what earlier runs on the track say about the spread."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Final

import numpy as np
from sqlalchemy.orm import Session

from hillbench.records import outing_store, run_store
from hillbench.records.entities import TimedRun
from hillbench.records.outing_entities import Outing
from hillbench.timing import run as timed
from hillbench.timing.compare import MOST_CARS, compare
from hillbench.timing.comparison import Comparison
from hillbench.timing.history import spread_from_history
from hillbench.timing.prior import SpreadPrior
from hillbench.usecases.plan_outing import starts_of

MOST_EARLIER_RUNS: Final = 240
"""How many earlier runs on the track say what the spread of a run is there."""

MOST_COMPARED: Final = 600
"""How many of the latest runs of an outing are compared; the rest says nothing new."""

_HISTORY_SEED: Final = 64


def labels_of(session: Session, outing: Outing, runs: Sequence[TimedRun]) -> dict[int, str]:
    """Return what each car is called, by its number: those of the plan first, then guests."""
    car_ids = dict.fromkeys([*outing.plan.car_ids, *(run.car_id for run in runs)])
    return car_labels(session, tuple(car_ids))


def car_labels(session: Session, car_ids: Sequence[int]) -> dict[int, str]:
    """Return the names of cars in the order asked, with their numbers where names are the same."""
    names = outing_store.car_names(session, car_ids)
    counts = Counter(names.values())
    return {
        car_id: names[car_id] if counts[names[car_id]] == 1 else f"{names[car_id]} (no. {car_id})"
        for car_id in car_ids
    }


def timed_runs(
    outing: Outing, runs: Sequence[TimedRun], labels: Mapping[int, str]
) -> tuple[timed.TimedRun, ...]:
    """Return the runs of an outing as the comparison takes them."""
    return tuple(
        timed.TimedRun(
            car=labels[run.car_id],
            time_s=run.finish_time_s,
            lane=run.lane,
            outing=str(outing.id),
            order=start,
            note=run.note,
            row=run.number,
        )
        for run, start in zip(runs, starts_of(outing.plan, runs), strict=True)
    )


def compare_outing(
    session: Session,
    outing: Outing,
    runs: Sequence[TimedRun],
    labels: Mapping[int, str],
    rng: np.random.Generator,
) -> Comparison | None:
    """Return which car of an outing is faster, from its latest runs.

    None where no run has a time, or more cars ran than can be compared at once.
    """
    spread = spread_before(session, outing.track_id, {outing.id})
    compared = timed_runs(outing, runs, labels)[-MOST_COMPARED:]
    timed_cars = {run.car for run in compared if run.time_s is not None}
    if not timed_cars or len({run.car for run in compared}) > MOST_CARS:
        return None
    return compare(
        compared,
        rng,
        matters_s=outing.matters_s,
        spread=spread,
        reading_uncertainty_s=common_uncertainty_s(runs),
    )


def common_uncertainty_s(runs: Sequence[TimedRun]) -> float:
    """Return the standard uncertainty of one time: the root of the mean square over the runs."""
    squares = [
        (run.time_uncertainty_s or 0.0) ** 2 for run in runs if run.finish_time_s is not None
    ]
    return math.sqrt(math.fsum(squares) / len(squares)) if squares else 0.0


def spread_before(
    session: Session, track_id: int, without_outing_ids: set[int]
) -> SpreadPrior | None:
    """Return what other runs on a track say about the spread there, None for too few."""
    latest = run_store.list_runs(
        session,
        track_id=track_id,
        without_outing_ids=without_outing_ids,
        limit=MOST_EARLIER_RUNS,
    )
    return _spread_of(tuple(_earlier(run) for run in reversed(latest)))


def _earlier(run: TimedRun) -> timed.TimedRun:
    """Return an earlier run. Cars are worked on between outings: in each one they are others."""
    outing = str(run.outing_id or run.at.date())
    return timed.TimedRun(
        car=f"{run.car_id} in {outing}",
        time_s=run.finish_time_s,
        lane=run.lane,
        outing=outing,
        note=run.note,
    )


@lru_cache(maxsize=64)
def _spread_of(earlier: tuple[timed.TimedRun, ...]) -> SpreadPrior | None:
    """Return what runs say about the spread; kept by the runs themselves, so never outdated."""
    return spread_from_history(earlier, np.random.default_rng(_HISTORY_SEED))
