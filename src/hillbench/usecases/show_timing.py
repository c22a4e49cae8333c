"""Show the times of a car or a track over its outings: history, repeatability, record."""

from __future__ import annotations

import math
import statistics
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sqlalchemy.orm import Session

from hillbench.errors import InvalidInput
from hillbench.records import car_store, outing_store, run_store, track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import RunNote, TimedRun
from hillbench.records.outing_entities import Outing
from hillbench.timing import run as timed
from hillbench.timing.prior import SpreadPrior, prior_for
from hillbench.timing.summary import Repeatability, repeatability
from hillbench.usecases.compare_outing import car_labels, spread_before
from hillbench.usecases.tell_timing import tell_real_difference

MOST_RUNS: Final = 2000
"""How many of the latest runs are shown and counted; records look at all."""

_MISFIRE_SPREADS: Final = 8.0
_MEDIAN_COST: Final = 1.2533
_NINETY: Final = 1.6449
_RECORDS_LOOKED_AT: Final = 20


@dataclass(frozen=True, slots=True)
class OutingPoint:
    """One car in one outing: a point of its history.

    Attributes
    ----------
    outing
        The outing; None for the runs of one day that were noted without one.
    at
        When it began.
    track_name, label
        The track and the car.
    typical_time_s, low_s, high_s
        Median of its clean runs, and 90 % interval of it from the spread on this track.
    best_time_s
        Best time of a clean run.
    run_count, unfinished_count
        Runs with a time, and without.
    """

    outing: Outing | None
    at: datetime
    track_id: int
    track_name: str
    car_id: int
    label: str
    typical_time_s: float
    low_s: float
    high_s: float
    best_time_s: float
    run_count: int
    unfinished_count: int


@dataclass(frozen=True, slots=True)
class MonthSpread:
    """Repeatability in one month, by ISO 5725-2.

    Attributes
    ----------
    month
        Such as ``2026-03``.
    repeatability
        Pooled over cars and outings of the month.
    """

    month: str
    repeatability: Repeatability


@dataclass(frozen=True, slots=True)
class Record:
    """The best time on a track.

    Attributes
    ----------
    run
        The run.
    label
        Its car.
    doubtful_count
        Faster times that look like a misfired timer and were passed over.
    """

    run: TimedRun
    label: str
    doubtful_count: int


@dataclass(frozen=True, slots=True)
class TrackTiming:
    """The times on one track, of one car or of all.

    Attributes
    ----------
    track_name
        The track.
    points
        Oldest first.
    months
        Repeatability by month, oldest first; months with too few runs are left out.
    record
        Best time there, of the car or of all; None without any.
    spread_s
        Spread of one clean run there; None without any time.
    spread_source
        Where the spread comes from.
    real_difference
        What would be called a real difference on this track, in words; empty without runs.
    """

    track_id: int
    track_name: str
    points: tuple[OutingPoint, ...]
    months: tuple[MonthSpread, ...]
    record: Record | None
    spread_s: float | None
    spread_source: str
    real_difference: str


def show_timing_of_track(book: BenchBook, track_id: int) -> TrackTiming:
    """Return the times on a track.

    Raises
    ------
    NotFound
        If there is no such track.
    """
    with book.read() as session:
        track_store.find_track(session, track_id)
        runs = run_store.list_runs(session, track_id=track_id, limit=MOST_RUNS)
        return _timing(session, track_id, runs, None)


def show_timing_of_car(book: BenchBook, car_id: int) -> tuple[TrackTiming, ...]:
    """Return the times of a car, track by track, the one it ran on last first.

    Raises
    ------
    NotFound
        If there is no such car.
    """
    with book.read() as session:
        car_store.find_car(session, car_id)
        runs = run_store.list_runs(session, car_id=car_id, limit=MOST_RUNS)
        by_track: dict[int, list[TimedRun]] = defaultdict(list)
        for run in runs:
            by_track[run.track_id].append(run)
        return tuple(_timing(session, track_id, own, car_id) for track_id, own in by_track.items())


def _timing(
    session: Session, track_id: int, runs: Sequence[TimedRun], car_id: int | None
) -> TrackTiming:
    name = track_store.names(session, {track_id})[track_id]
    labels = car_labels(session, tuple(dict.fromkeys(run.car_id for run in runs)))
    spread = _spread(session, track_id, runs)
    ids = {run.outing_id for run in runs if run.outing_id is not None}
    outings = outing_store.outings_by_id(session, ids)
    points = _points(runs, outings, labels, name, spread.median_s if spread else 0.0)
    return TrackTiming(
        track_id=track_id,
        track_name=name,
        points=points,
        months=_months(runs, labels),
        record=_record(session, track_id, car_id, spread, points),
        spread_s=spread.median_s if spread else None,
        spread_source=spread.source if spread else "",
        real_difference=tell_real_difference(spread) if spread else "",
    )


def _spread(session: Session, track_id: int, runs: Sequence[TimedRun]) -> SpreadPrior | None:
    """Return the spread on a track: from its runs, else from general experience."""
    times = [run.finish_time_s for run in runs if run.finish_time_s is not None]
    if not times:
        return None
    known = spread_before(session, track_id, set())
    return known if known is not None else prior_for(statistics.median(times)).spread


def _points(
    runs: Sequence[TimedRun],
    outings: Mapping[int, Outing],
    labels: Mapping[int, str],
    track_name: str,
    spread_s: float,
) -> tuple[OutingPoint, ...]:
    groups: dict[tuple[object, int], list[TimedRun]] = defaultdict(list)
    for run in reversed(runs):
        groups[run.outing_id or run.at.date(), run.car_id].append(run)
    points = []
    for own in groups.values():
        first = own[0]
        times = _clean_times(own)
        if not times:
            continue
        low_s, typical_s, high_s = typical_interval_s(times, spread_s)
        outing = None if first.outing_id is None else outings[first.outing_id]
        points.append(
            OutingPoint(
                outing=outing,
                at=first.at if outing is None else outing.begun_at,
                track_id=first.track_id,
                track_name=track_name,
                car_id=first.car_id,
                label=labels[first.car_id],
                typical_time_s=typical_s,
                low_s=low_s,
                high_s=high_s,
                best_time_s=min(times),
                run_count=sum(run.finish_time_s is not None for run in own),
                unfinished_count=sum(run.finish_time_s is None for run in own),
            )
        )
    return tuple(sorted(points, key=lambda point: point.at))


def typical_interval_s(times_s: Sequence[float], spread_s: float) -> tuple[float, float, float]:
    """Return the median of times between the ends of its 90 % interval.

    Parameters
    ----------
    times_s
        One time or more.
    spread_s
        Standard deviation of one run, s.

    Notes
    -----
    The standard error of a median is √(π/2) σ/√n for normal runs (Kendall and Stuart, The
    Advanced Theory of Statistics, volume 1, 4th ed. 1977, section 10.11); of one or two runs
    the median is the mean.
    """
    typical_s = statistics.median(times_s)
    cost = _MEDIAN_COST if len(times_s) > 2 else 1.0
    half_s = _NINETY * cost * spread_s / math.sqrt(len(times_s))
    return typical_s - half_s, typical_s, typical_s + half_s


def _clean_times(runs: Sequence[TimedRun]) -> list[float]:
    """Return the times noted as clean, else all there are."""
    timed_runs = [run for run in runs if run.finish_time_s is not None]
    clean = [run for run in timed_runs if run.note is RunNote.CLEAN] or timed_runs
    return [run.finish_time_s for run in clean if run.finish_time_s is not None]


def _months(runs: Sequence[TimedRun], labels: Mapping[int, str]) -> tuple[MonthSpread, ...]:
    by_month: dict[str, list[timed.TimedRun]] = defaultdict(list)
    for run in reversed(runs):
        by_month[f"{run.at:%Y-%m}"].append(
            timed.TimedRun(
                car=labels[run.car_id],
                time_s=run.finish_time_s,
                outing=str(run.outing_id or run.at.date()),
                note=run.note,
            )
        )
    found = []
    for month, own in sorted(by_month.items()):
        try:
            found.append(MonthSpread(month, repeatability(own)))
        except InvalidInput:  # too few runs to say anything
            continue
    return tuple(found)


def _record(
    session: Session,
    track_id: int,
    car_id: int | None,
    spread: SpreadPrior | None,
    points: Sequence[OutingPoint],
) -> Record | None:
    """Return the best clean time that its car's typical time makes believable."""
    best = run_store.fastest_runs(session, track_id, car_id=car_id, limit=_RECORDS_LOOKED_AT)
    labels = car_labels(session, tuple(dict.fromkeys(run.car_id for run in best)))
    for doubtful_count, run in enumerate(best):
        typical = [point.typical_time_s for point in points if point.car_id == run.car_id]
        reach_s = _MISFIRE_SPREADS * spread.median_s if spread else math.inf
        time_s = run.finish_time_s or 0.0
        if not typical or time_s > min(typical) - reach_s:
            return Record(run, labels[run.car_id], doubtful_count)
    return None
