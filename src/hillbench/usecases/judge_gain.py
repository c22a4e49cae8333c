"""Judge whether a change to a car paid, from the outings before and after it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from sqlalchemy.orm import Session

from hillbench.errors import InvalidInput, Problem
from hillbench.records import car_store, outing_store, run_edit_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import TimedRun
from hillbench.records.outing_entities import Outing
from hillbench.timing import run as timed
from hillbench.timing.gain import Gain, measure_gain
from hillbench.usecases.compare_outing import (
    car_labels,
    common_uncertainty_s,
    spread_before,
    timed_runs,
)
from hillbench.usecases.tell_comparison import tell_gain

MOST_RUNS: Final = 600
"""How many runs are judged at once."""


@dataclass(frozen=True, slots=True)
class JudgedGain:
    """What a change paid.

    Attributes
    ----------
    gain
        The figures. Its layout says how before and after were run: the part swapped back and
        forth, an unchanged car in between, or neither, with a warning then.
    sentence
        The answer in words.
    before_s, after_s
        Times of the car before and after, as entered, s.
    """

    gain: Gain
    sentence: str
    before_s: tuple[float, ...]
    after_s: tuple[float, ...]


def judge_gain(
    book: BenchBook,
    car_id: int,
    track_id: int,
    rng: np.random.Generator,
    *,
    before_outing_ids: Collection[int] = (),
    after_outing_ids: Collection[int] = (),
    before_run_ids: Collection[int] = (),
    after_run_ids: Collection[int] = (),
    matters_s: float | None = None,
) -> JudgedGain:
    """Return what a change to a car gained on a track.

    Parameters
    ----------
    car_id
        The changed car. Other cars of the same outings are the control.
    rng
        Source of randomness of the sampler.
    before_outing_ids, after_outing_ids
        Outings without and with the change.
    before_run_ids, after_run_ids
        Single runs instead, for a part that was swapped within an outing.
    matters_s
        Gain below which nobody cares, s; one spread of a run where None.

    Raises
    ------
    InvalidInput
        If the car has no time before or after, one is both, or an outing was elsewhere.
    NotFound
        If there is no such car or outing.
    """
    parts = {
        "before": _Part(frozenset(before_outing_ids), frozenset(before_run_ids)),
        "after": _Part(frozenset(after_outing_ids), frozenset(after_run_ids)),
    }
    with book.read() as session:
        car_store.find_car(session, car_id)
        outings = _outings(session, track_id, parts)
        kept = outing_store.list_outing_runs(session, [outing.id for outing in outings])
        labels = car_labels(session, tuple(dict.fromkeys([car_id, *(run.car_id for run in kept)])))
        spread = spread_before(session, track_id, {outing.id for outing in outings})
    runs = [run for outing in outings for run in _named(outing, kept, labels, car_id, parts)]
    before, after = (f"{labels[car_id]} {part}" for part in parts)
    gain = measure_gain(
        runs[-MOST_RUNS:],
        before,
        after,
        rng,
        matters_s=matters_s,
        spread=spread,
        reading_uncertainty_s=common_uncertainty_s(kept),
    )
    return JudgedGain(gain, tell_gain(gain), _times_s(runs, before), _times_s(runs, after))


@dataclass(frozen=True, slots=True)
class _Part:
    """Which runs of the car are before, or after."""

    outing_ids: frozenset[int]
    run_ids: frozenset[int]

    def holds(self, run: TimedRun) -> bool:
        return run.id in self.run_ids or run.outing_id in self.outing_ids


def _outings(session: Session, track_id: int, parts: Mapping[str, _Part]) -> list[Outing]:
    """Return the outings asked about, in the order in which they were run."""
    both = parts["before"].outing_ids & parts["after"].outing_ids
    if both:
        seen = f"outing {min(both)}, which is before as well"
        raise InvalidInput([Problem("after", seen, "another outing than before")])
    ids = {outing_id for part in parts.values() for outing_id in part.outing_ids}
    for part in parts.values():
        runs = [run_edit_store.find_run(session, run_id) for run_id in part.run_ids]
        ids |= {run.outing_id for run in runs if run.outing_id is not None}
    outings = [outing_store.find_outing(session, outing_id) for outing_id in ids]
    for outing in outings:
        if outing.track_id != track_id:
            seen = f"outing {outing.id}, which was on another track"
            raise InvalidInput([Problem("outings", seen, "outings on one track")])
    return sorted(outings, key=lambda outing: (outing.begun_at, outing.id))


def _named(
    outing: Outing,
    kept: Sequence[TimedRun],
    labels: Mapping[int, str],
    car_id: int,
    parts: Mapping[str, _Part],
) -> Iterator[timed.TimedRun]:
    """Yield the runs of an outing, those of the changed car by the part they belong to."""
    own = [run for run in kept if run.outing_id == outing.id]
    for run, taken in zip(own, timed_runs(outing, own, labels), strict=True):
        if run.car_id != car_id:
            yield taken
            continue
        for name, part in parts.items():
            if part.holds(run):
                yield replace(taken, car=f"{taken.car} {name}")
                break


def _times_s(runs: Sequence[timed.TimedRun], car: str) -> tuple[float, ...]:
    return tuple(run.time_s for run in runs if run.car == car and run.time_s is not None)
