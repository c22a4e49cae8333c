"""The pages of the Clock: outings, one outing while it goes on, and one run of it."""

from __future__ import annotations

import json
import secrets
from collections import Counter
from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar

from hillbench.pictures.timing import comparison_of_times
from hillbench.records.entities import TimedRun
from hillbench.records.outing_entities import Outing
from hillbench.timing.comparison import Comparison
from hillbench.usecases.compare_outing import timed_runs
from hillbench.usecases.show_outing import ListedOuting, OutingCar, OutingRun, OutingView
from hillbench.web.clock_words import told_basis, told_conditions, unbroken
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured, pictured
from hillbench.web.typed import Typed


@dataclass(frozen=True, slots=True)
class Turn:
    """Whose turn it is.

    Attributes
    ----------
    car_id, car
        The car; 0 where there is no plan and no car.
    lane
        The lane; None where there is only one.
    beside
        Names of the cars that start side by side with it.
    """

    car_id: int
    car: str
    lane: str | None
    beside: tuple[str, ...] = ()


@dataclass(frozen=True)
class ClockPage(Page):
    """Where an outing is begun, and those before.

    Attributes
    ----------
    outings
        The latest, latest first.
    going_on
        The one that was begun a few hours ago; None where there is none.
    track_options
        Tracks in use, as choices of a form.
    car_options
        Cars in use, as choices of a form.
    begin
        The form that begins an outing, as typed.
    """

    template: ClassVar[str] = "clock/clock.html"
    place: ClassVar[str] = "clock"

    outings: tuple[ListedOuting, ...]
    going_on: ListedOuting | None
    track_options: tuple[tuple[int, str], ...]
    car_options: tuple[tuple[int, str], ...]
    begin: Typed


@dataclass(frozen=True)
class OutingPage(Page):
    """One outing while it goes on, and afterwards.

    Attributes
    ----------
    outing_id, track_id, track_name, begun_at
        The outing.
    removed
        Whether it was removed.
    sentence
        The answer so far.
    sentence_beside
        What the answer rests on.
    turn
        Whose turn it is.
    plan
        The order to run in and the runs of each car so far, as JSON, for the script.
    cars
        The cars with their times.
    lanes
        Names of the lanes; empty where there is only one.
    gates_at_m
        Where the gates of the track are, m; empty where it has none.
    runs
        Last run first.
    picture
        Every run as a dot; None before any run has a time.
    typical_s
        Middle of the times, for the script; None before any.
    seen
        Changes whenever anything of the outing does.
    day
        Conditions, in words.
    note
        What was noted about the outing.
    entry
        The form of the next run, as typed.
    entry_key
        Key under which that run will be kept.
    doubtful
        Whether the time typed is far from the others and can be kept all the same.
    """

    template: ClassVar[str] = "clock/outing.html"
    place: ClassVar[str] = "clock"

    outing_id: int
    track_id: int
    track_name: str
    begun_at: datetime
    removed: bool
    sentence: str
    sentence_beside: str
    turn: Turn
    plan: str
    cars: tuple[OutingCar, ...]
    lanes: tuple[str, ...]
    gates_at_m: tuple[float, ...]
    runs: tuple[OutingRun, ...]
    picture: Pictured | None
    typical_s: float | None
    seen: str
    day: tuple[str, ...]
    note: str
    entry: Typed
    entry_key: str
    doubtful: bool


def outing_page(
    view: OutingView, typed: Typed | None = None, *, doubtful: bool = False
) -> OutingPage:
    """Return the page of an outing; `typed` is shown again in the form of the next run."""
    outing = view.outing
    turn = _turn(view)
    entry = typed or Typed.holding("entry", {"car_id": str(turn.car_id), "lane": turn.lane or ""})
    times = sorted(
        line.run.finish_time_s for line in view.runs if line.run.finish_time_s is not None
    )
    return OutingPage(
        outing_id=outing.id,
        track_id=outing.track_id,
        track_name=view.track.name,
        begun_at=outing.begun_at,
        removed=outing.removed_at is not None,
        sentence=unbroken(view.sentence),
        sentence_beside=unbroken(told_basis(view)),
        turn=turn,
        plan=_plan(view),
        cars=view.cars,
        lanes=lanes_of(outing),
        gates_at_m=view.gates_at_m,
        runs=tuple(reversed(view.runs)),
        picture=_picture(view),
        typical_s=times[len(times) // 2] if times else None,
        seen=seen_mark(
            [line.run for line in view.runs], sum(len(line.edits) for line in view.runs)
        ),
        day=told_conditions(outing.conditions),
        note=outing.note,
        entry=entry,
        entry_key=entry.value("entry_key") or secrets.token_hex(16),
        doubtful=doubtful,
    )


def lanes_of(outing: Outing) -> tuple[str, ...]:
    """Return the names of the lanes of an outing, none where there is only one."""
    lanes = outing.plan.lanes
    return tuple(str(lane + 1) for lane in range(lanes)) if lanes > 1 else ()


def seen_mark(runs: list[TimedRun], edits: int) -> str:
    """Return a mark that changes when a run comes, goes or is edited."""
    latest = max((run.id for run in runs), default=0)
    return f"{len(runs)}.{latest}.{sum(run.id for run in runs)}.{edits}"


def _turn(view: OutingView) -> Turn:
    if view.next_turns:
        first, *others = view.next_turns
        return Turn(first.car_id, first.label, first.lane, tuple(turn.label for turn in others))
    if view.cars:
        return Turn(view.cars[0].car_id, view.cars[0].label, None)
    return Turn(0, "No car", None)


def _plan(view: OutingView) -> str:
    done = Counter(line.run.car_id for line in view.runs)
    turns = [[turn.start, turn.car_id, turn.lane] for turn in view.outing.plan.turns]
    names = {str(car.car_id): car.label for car in view.cars}
    return json.dumps({"turns": turns, "done": done, "names": names}, separators=(",", ":"))


def _picture(view: OutingView) -> Pictured | None:
    comparison = view.comparison
    if comparison is None or not comparison.ranking():
        return None
    return pictured(lambda width, key: _drawn(view, comparison, width, key), "times")


def _drawn(view: OutingView, comparison: Comparison, width_px: int, key: str) -> str:
    labels = {car.car_id: car.label for car in view.cars}
    runs = timed_runs(view.outing, [line.run for line in view.runs], labels)
    return comparison_of_times(comparison, runs, view.sentence, width_px=width_px, key=key)
