"""Times of a car before and after a build, track by track."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Final

import numpy as np

from hillbench.errors import InvalidInput
from hillbench.records.bench_book import BenchBook
from hillbench.sheets.build_content import Interval, JudgedTime, TrackTimes
from hillbench.timing.gain import Gain
from hillbench.timing.stopping import Verdict
from hillbench.usecases.build_shown import ShownBuild
from hillbench.usecases.judge_gain import judge_gain
from hillbench.usecases.show_timing import OutingPoint, TrackTiming, show_timing_of_car
from hillbench.usecases.tell_comparison import tell_gain

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


def first_judged(times: tuple[TrackTimes, ...]) -> TrackTimes | None:
    """Return the first track on which the gain of the build could be judged."""
    return next((one for one in times if one.gain is not None), None)


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
    times = TrackTimes(timing.track_name, _interval(before), _interval(after))
    gain = None if before is None or after is None else _gain(book, before, after, rng)
    if gain is None:
        return times
    judged = JudgedTime(
        gain.gain_s,
        gain.gain_low_s,
        gain.gain_high_s,
        gain.verdict in (Verdict.FIRST, Verdict.SECOND),
    )
    return replace(times, sentence=_told(gain), gain=judged)


def _interval(point: OutingPoint | None) -> Interval | None:
    if point is None:
        return None
    return Interval(point.typical_time_s, point.low_s, point.high_s, point.run_count)


def _gain(
    book: BenchBook, before: OutingPoint, after: OutingPoint, rng: np.random.Generator
) -> Gain | None:
    """Return what was gained, judged by the outings; None where it cannot be judged."""
    if before.outing is None or after.outing is None:
        return None
    try:
        return judge_gain(
            book,
            before.car_id,
            before.track_id,
            rng,
            before_outing_ids=[before.outing.id],
            after_outing_ids=[after.outing.id],
        ).gain
    except InvalidInput:  # too few runs; the intervals stand for themselves
        return None


def _told(gain: Gain) -> str:
    """Return the gain in words; a hill that changed is told apart by the cars beside it."""
    told = tell_gain(gain, "The build")
    if not gain.runs_control:
        return told
    runs = f"{gain.runs_control} run{'s' * (gain.runs_control != 1)}"
    return f"{told} Judged against {runs} of other cars: a change of the hill does not count."
