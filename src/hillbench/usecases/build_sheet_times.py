"""Times of a car before and after a build, track by track."""

from __future__ import annotations

from datetime import datetime
from typing import Final

import numpy as np

from hillbench.errors import InvalidInput
from hillbench.records.bench_book import BenchBook
from hillbench.sheets.build_content import Interval, TrackTimes
from hillbench.usecases.build_shown import ShownBuild
from hillbench.usecases.judge_gain import judge_gain
from hillbench.usecases.show_timing import OutingPoint, TrackTiming, show_timing_of_car

MOST_TRACKS: Final = 3
"""How many tracks stand on a sheet, the one the car ran on last first."""


def times_of_build(
    book: BenchBook, shown: ShownBuild, rng: np.random.Generator
) -> tuple[TrackTimes, ...]:
    """Return the last times before a build and the first after it.

    Parameters
    ----------
    shown
        The build. After it means after its end, or after its last step while it is in hand.
    rng
        Source of randomness for the judgement of the gain.
    """
    begun, ended = shown.build.created_at, _end(shown)
    found = (
        _on_track(book, timing, begun, ended, rng)
        for timing in show_timing_of_car(book, shown.car.id)[:MOST_TRACKS]
    )
    return tuple(times for times in found if times is not None)


def gain_of(times: tuple[TrackTimes, ...]) -> tuple[TrackTimes, float] | None:
    """Return the first track with times before and after, and the seconds gained there."""
    for one in times:
        if one.before is not None and one.after is not None:
            return one, one.before.typical_s - one.after.typical_s
    return None


def _end(shown: ShownBuild) -> datetime | None:
    if shown.build.ended_at is not None:
        return shown.build.ended_at
    done = [one.record.done_at for one in shown.steps if one.record.done_at is not None]
    return max(done, default=None)


def _on_track(
    book: BenchBook,
    timing: TrackTiming,
    begun: datetime,
    ended: datetime | None,
    rng: np.random.Generator,
) -> TrackTimes | None:
    before = next((one for one in reversed(timing.points) if one.at < begun), None)
    after = None
    if ended is not None:
        after = next((one for one in timing.points if one.at >= ended), None)
    if before is None and after is None:
        return None
    sentence = "" if before is None or after is None else _gain(book, before, after, rng)
    return TrackTimes(timing.track_name, _interval(before), _interval(after), sentence)


def _interval(point: OutingPoint | None) -> Interval | None:
    if point is None:
        return None
    return Interval(point.typical_time_s, point.low_s, point.high_s, point.run_count)


def _gain(
    book: BenchBook, before: OutingPoint, after: OutingPoint, rng: np.random.Generator
) -> str:
    """Return what was gained, judged by the outings; nothing where it cannot be judged."""
    if before.outing is None or after.outing is None:
        return ""
    try:
        return judge_gain(
            book,
            before.car_id,
            before.track_id,
            rng,
            before_outing_ids=[before.outing.id],
            after_outing_ids=[after.outing.id],
        ).sentence
    except InvalidInput:  # too few runs; the intervals stand for themselves
        return ""
