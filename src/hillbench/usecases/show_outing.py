"""Show an outing: every run, whose turn it is, and which car is faster."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Final

import numpy as np
from sqlalchemy.orm import Session

from hillbench.records import outing_store, run_edit_store, track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import TimedRun, TrackRecord
from hillbench.records.outing_entities import Outing, RunEdit
from hillbench.timing.comparison import CarTimes, Comparison, OddRun
from hillbench.usecases.compare_outing import MOST_COMPARED, compare_outing, labels_of
from hillbench.usecases.plan_outing import next_turns
from hillbench.usecases.tell_outing import tell_outing

MOST_OUTINGS: Final = 50
"""How many of the latest outings are listed."""


@dataclass(frozen=True, slots=True)
class OutingCar:
    """One car of an outing.

    Attributes
    ----------
    car_id, label
        The car; the label is its name, and its number too where two have the same name.
    planned
        Whether it is in the plan.
    run_count, unfinished_count
        Its runs with a time, and those without.
    times
        What its runs say; None before any run of the outing has a time.
    """

    car_id: int
    label: str
    planned: bool
    run_count: int
    unfinished_count: int
    times: CarTimes | None


@dataclass(frozen=True, slots=True)
class OutingRun:
    """One run of an outing.

    Attributes
    ----------
    run
        As it stands.
    label
        Its car.
    odd
        Why it is probably no clean run, and how probably; None for a run that looks clean.
    edits
        What it said before, oldest first.
    """

    run: TimedRun
    label: str
    odd: OddRun | None
    edits: tuple[RunEdit, ...]


@dataclass(frozen=True, slots=True)
class NextTurn:
    """Whose turn it is, and on which lane; None where there is only one."""

    car_id: int
    label: str
    lane: str | None


@dataclass(frozen=True, slots=True)
class OutingView:
    """An outing as it stands.

    Attributes
    ----------
    outing, track
        The outing, and the track in its newest version.
    gates_at_m
        Where the gates were as it began, m.
    cars
        Those in the plan first, then guests.
    runs
        In the order entered.
    next_turns
        The next car, or the next cars where they start side by side; empty without a plan.
    comparison
        Which car is faster; None before any run has a time. `spread_source` in it says which
        prior was used.
    sentence
        The answer, or what to do first.
    hand_timed_count
        Runs timed by hand on a phone.
    unfinished_count
        Runs without a time.
    """

    outing: Outing
    track: TrackRecord
    gates_at_m: tuple[float, ...]
    cars: tuple[OutingCar, ...]
    runs: tuple[OutingRun, ...]
    next_turns: tuple[NextTurn, ...]
    comparison: Comparison | None
    sentence: str
    hand_timed_count: int
    unfinished_count: int


@dataclass(frozen=True, slots=True)
class ListedOuting:
    """An outing in a list.

    Attributes
    ----------
    outing
        The outing.
    track_name
        Name of its track.
    car_names
        Names of the cars that are planned or ran.
    run_count
        Number of its runs.
    """

    outing: Outing
    track_name: str
    car_names: tuple[str, ...]
    run_count: int


def show_outing(book: BenchBook, outing_id: int, rng: np.random.Generator) -> OutingView:
    """Return an outing with its answer.

    Parameters
    ----------
    rng
        Source of randomness of the sampler; the same seed gives the same answer again.

    Raises
    ------
    NotFound
        If there is no such outing.
    """
    with book.read() as session:
        outing = outing_store.find_outing(session, outing_id)
        track = track_store.find_track(session, outing.track_id)
        gates_at_m = track_store.gates_of_version(session, outing.track_version_id)
        runs = outing_store.list_outing_runs(session, [outing_id])
        edits = run_edit_store.list_run_edits(session, [run.id for run in runs])
        labels = labels_of(session, outing, runs)
        comparison = compare_outing(session, outing, runs, labels, rng)
    skipped = max(len(runs) - MOST_COMPARED, 0)
    odd = {one.place + skipped: one for one in comparison.odd_runs} if comparison else {}
    turns = next_turns(outing.plan, runs)
    return OutingView(
        outing=outing,
        track=track,
        gates_at_m=gates_at_m,
        cars=_cars(outing, runs, labels, comparison),
        runs=tuple(
            OutingRun(run, labels[run.car_id], odd.get(place), edits.get(run.id, ()))
            for place, run in enumerate(runs)
        ),
        next_turns=tuple(NextTurn(turn.car_id, labels[turn.car_id], turn.lane) for turn in turns),
        comparison=comparison,
        sentence=tell_outing(comparison, runs, [labels[turn.car_id] for turn in turns]),
        hand_timed_count=sum(run.time_source == "phone" for run in runs),
        unfinished_count=sum(run.finish_time_s is None for run in runs),
    )


def list_outings(
    book: BenchBook, *, track_id: int | None = None, car_id: int | None = None
) -> tuple[ListedOuting, ...]:
    """Return the latest outings, latest first: on a track, of a car, of both, or all."""
    with book.read() as session:
        outings = outing_store.list_outings(
            session, track_id=track_id, car_id=car_id, limit=MOST_OUTINGS
        )
        return _listed(session, outings)


def _listed(session: Session, outings: tuple[Outing, ...]) -> tuple[ListedOuting, ...]:
    counts = outing_store.count_outing_runs(session, [outing.id for outing in outings])
    cars = {
        outing.id: dict.fromkeys([*outing.plan.car_ids, *counts.get(outing.id, {})])
        for outing in outings
    }
    names = outing_store.car_names(session, {car for own in cars.values() for car in own})
    tracks = track_store.names(session, {outing.track_id for outing in outings})
    return tuple(
        ListedOuting(
            outing=outing,
            track_name=tracks[outing.track_id],
            car_names=tuple(names[car_id] for car_id in cars[outing.id]),
            run_count=sum(counts.get(outing.id, {}).values()),
        )
        for outing in outings
    )


def _cars(
    outing: Outing,
    runs: tuple[TimedRun, ...],
    labels: dict[int, str],
    comparison: Comparison | None,
) -> tuple[OutingCar, ...]:
    times = {} if comparison is None else {car.car: car for car in comparison.cars}
    timed = Counter(run.car_id for run in runs if run.finish_time_s is not None)
    every = Counter(run.car_id for run in runs)
    return tuple(
        OutingCar(
            car_id=car_id,
            label=label,
            planned=car_id in outing.plan.car_ids,
            run_count=timed[car_id],
            unfinished_count=every[car_id] - timed[car_id],
            times=times.get(label),
        )
        for car_id, label in labels.items()
    )
