"""When each step of a build must be done, worked backwards from the day it is needed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Final

from hillbench.building.schedule import Task, Window, schedule_back
from hillbench.records.build_entities import BuildRecord, StepRecord
from hillbench.usecases.build_order import places_of

_FURTHEST_DAYS: Final = 120
_MINUTE_S: Final = 60.0


@dataclass(frozen=True, slots=True)
class StepDate:
    """The latest time of a step.

    Attributes
    ----------
    begins_at, ends_at
        When it must begin and be done at the latest, UTC.
    late
        Whether what it waits for rests longer than that.
    """

    begins_at: datetime
    ends_at: datetime
    late: bool


@dataclass(frozen=True, slots=True)
class BuildDates:
    """The latest times of all that is left of a build.

    Attributes
    ----------
    by_key
        Of each step that finds time, by its key.
    unplaced
        Keys of the steps that find no time at the bench before the day.
    spare_minutes
        Bench time that is left over, minutes.
    """

    by_key: dict[str, StepDate]
    unplaced: tuple[str, ...]
    spare_minutes: float


def date_build(build: BuildRecord, steps: Sequence[StepRecord], now: datetime) -> BuildDates | None:
    """Return the latest times of the steps that are left; None without a day to be ready by.

    Parameters
    ----------
    build
        The build.
    steps
        Its steps in order.
    """
    if build.meet_at is None:
        return None
    now = now.astimezone(UTC)  # minutes are counted, not read off a wall clock
    places = {place.key: place.waits_for for place in places_of(steps)}
    left = [one for one in steps if one.done_at is None]
    tasks = [
        Task(one.step.key, one.step.minutes, one.step.wait_minutes, places[one.step.key])
        for one in left
    ]
    due = _minutes(build.meet_at, now)
    windows = [
        Window(max(_minutes(begin, now), 0.0), min(_minutes(end, now), due))
        for begin, end in _bench_hours(build, now)
        if end > now and _minutes(begin, now) < due
    ]
    found = schedule_back(tasks, windows, due)
    rests = {one.step.key: one.wait_ends_at for one in steps if one.done_at is not None}
    by_key = {}
    for one in found.placed:
        begins_at = now + timedelta(minutes=one.begins_minute)
        before = [rests.get(key) for key in places[one.key]]
        late = any(rest is not None and rest > begins_at for rest in before)
        by_key[one.key] = StepDate(begins_at, now + timedelta(minutes=one.ends_minute), late)
    free = sum(window.to_minute - window.from_minute for window in windows)
    used = sum(one.ends_minute - one.begins_minute for one in found.placed)
    return BuildDates(by_key, found.unplaced, max(free - used, 0.0))


def _bench_hours(build: BuildRecord, now: datetime) -> Iterator[tuple[datetime, datetime]]:
    """Yield the time at the bench of each day, by the local clock."""
    if build.meet_at is None:
        return
    first, last = now.astimezone().date(), build.meet_at.astimezone().date()
    for number in range(min((last - first).days, _FURTHEST_DAYS) + 1):
        on = first + timedelta(days=number)
        yield _local(on, build.bench_from_minute), _local(on, build.bench_to_minute)


def _local(on: date, minute: int) -> datetime:
    midnight = datetime(on.year, on.month, on.day)  # noqa: DTZ001 (the wall clock of that day)
    return (midnight + timedelta(minutes=minute)).astimezone()


def _minutes(moment: datetime, now: datetime) -> float:
    return (moment - now).total_seconds() / _MINUTE_S
