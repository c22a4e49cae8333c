"""Working backwards from a date: when each step must begin at the latest.

Moments are minutes on one scale of the caller's, for instance minutes from now.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Task:
    """A step as far as time matters.

    Attributes
    ----------
    key
        Its name in the build.
    minutes
        How long it takes at the bench, minutes.
    wait_minutes
        How long what waits for it must leave it alone, minutes.
    waits_for
        Keys of the steps that must be done, and left alone, before it.
    """

    key: str
    minutes: float
    wait_minutes: float = 0.0
    waits_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Window:
    """Time at the bench.

    Attributes
    ----------
    from_minute, to_minute
        Its begin and its end.
    """

    from_minute: float
    to_minute: float


@dataclass(frozen=True, slots=True)
class Placed:
    """A step with its latest time.

    Attributes
    ----------
    key
        Its name in the build.
    begins_minute
        When it must begin at the latest.
    ends_minute
        When it is done then.
    rests_until_minute
        Until when it is left alone.
    """

    key: str
    begins_minute: float
    ends_minute: float
    rests_until_minute: float


@dataclass(frozen=True, slots=True)
class Schedule:
    """All steps with their latest times.

    Attributes
    ----------
    placed
        In order of time.
    unplaced
        Keys of the steps for which no time at the bench is left before the date.
    """

    placed: tuple[Placed, ...]
    unplaced: tuple[str, ...]


def schedule_back(tasks: Sequence[Task], windows: Sequence[Window], due_minute: float) -> Schedule:
    """Return the latest time of each step, so that all is done at a date.

    Parameters
    ----------
    tasks
        Steps in an order in which they can be done.
    windows
        Time at the bench, none overlapping.
    due_minute
        When all must be done, waits included.

    Notes
    -----
    Backward scheduling of one worker: from the last step to the first, each as late as its
    followers and the free time allow. Nobody works while something dries, so the time of a
    wait is free for other steps. A step is done in one go; one longer than every window
    finds no time.
    """
    free = sorted(
        (Window(one.from_minute, min(one.to_minute, due_minute)) for one in windows),
        key=lambda one: one.from_minute,
    )
    begins: dict[str, float] = {}
    placed: list[Placed] = []
    unplaced: list[str] = []
    for task in reversed(tasks):
        followers = [
            begins[one.key] for one in tasks if task.key in one.waits_for and one.key in begins
        ]
        until = min([due_minute, *followers]) - task.wait_minutes
        slot = _latest(free, task.minutes, until)
        lost = any(task.key in one.waits_for and one.key in unplaced for one in tasks)
        if slot is None or lost:
            unplaced.append(task.key)
            continue
        begin = slot - task.minutes
        free = _taken(free, begin, slot)
        begins[task.key] = begin
        placed.append(Placed(task.key, begin, slot, slot + task.wait_minutes))
    placed.sort(key=lambda one: one.begins_minute)
    return Schedule(tuple(placed), tuple(reversed(unplaced)))


def _latest(free: Sequence[Window], minutes: float, until_minute: float) -> float | None:
    """Return the latest end of a stretch of free time, None where there is none."""
    for window in reversed(free):
        end = min(window.to_minute, until_minute)
        if end - minutes >= window.from_minute - 1e-9 and end > window.from_minute - 1e-9:
            return end
    return None


def _taken(free: Sequence[Window], begin_minute: float, end_minute: float) -> list[Window]:
    """Return the free time without one stretch."""
    left: list[Window] = []
    for window in free:
        if window.to_minute <= begin_minute or window.from_minute >= end_minute:
            left.append(window)
            continue
        left += [
            part
            for part in (
                Window(window.from_minute, begin_minute),
                Window(end_minute, window.to_minute),
            )
            if part.to_minute > part.from_minute
        ]
    return left
