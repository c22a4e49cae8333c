"""How a meet ranks its cars: by the club's own rule, and who is fastest by the times."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from hillbench.racing.climb import ladder_order
from hillbench.racing.format import Format
from hillbench.racing.heat_time import HeatTime
from hillbench.racing.meet_state import NOT_STARTED, STAGE_HEATS, STAGE_LADDER, MeetState, Row
from hillbench.racing.official import OfficialPlace, Rule, Score, TieBreak, rank_by_rule

if TYPE_CHECKING:  # they load SciPy, which the start of the app does not need
    import numpy as np

    from hillbench.racing.places import PlaceResult
    from hillbench.racing.timed_result import TimedResult


@dataclass(frozen=True, slots=True)
class MeetPlace:
    """One car in the official ranking of a meet.

    Attributes
    ----------
    place
        Its place; equal cars share one; None for a car that has not run, or has withdrawn.
    car
        Its number.
    score
        What the rule gives, s or points; None on a ladder, or where runs are missing.
    missing
        Runs it lacks to what the rule asks for.
    split_by
        What told it from a car of the same score; empty where nothing had to.
    in_final
        Whether it ran the final.
    """

    place: int | None
    car: int
    score: float | None = None
    missing: int = 0
    split_by: str = ""
    in_final: bool = False


def rule_of(state: MeetState) -> Rule:
    """Return the club's own rule of a meet."""
    settings = state.settings
    if settings.format is Format.PAIRS:
        ties = (TieBreak.HEAD_TO_HEAD, *([TieBreak.BEST_TIME] if settings.timed else []))
        return Rule(Score.POINTS, ties, points=(1.0,))
    ties = tuple(TieBreak(word) for word in settings.ties)
    if settings.format is Format.POINTS or not settings.timed:
        untimed = {TieBreak.BEST_TIME, TieBreak.SECOND_BEST_TIME}
        kept = ties if settings.timed else tuple(tie for tie in ties if tie not in untimed)
        return Rule(Score.POINTS, kept, points=settings.points)
    return Rule(Score(settings.score), ties, settings.drop, settings.points)


def heat_rows(
    state: MeetState, wanted: Callable[[str], bool] = lambda _stage: True, *, void: bool = False
) -> tuple[HeatTime, ...]:
    """Return what each car did in each heat, as every ranking reads it.

    Parameters
    ----------
    state
        The meet.
    wanted
        Which stages to take.
    void
        Whether to give the rows that do not count too, flagged.

    Notes
    -----
    Where places are taken the place stands for the time: it has the same order. A car that did
    not start has no row; a heat enters once all its lanes have told.
    """
    found: list[HeatTime] = []
    for heat in state.heats.values():
        if not wanted(heat.stage):
            continue
        if void:
            for rows, _reason in heat.void:
                found += _told(heat.number, rows.values(), void=True)
        if heat.done:
            found += _told(heat.number, heat.rows.values(), void=False)
    return tuple(found)


def _told(heat: int, rows: Iterable[Row], *, void: bool) -> list[HeatTime]:
    return [
        HeatTime(heat, row.lane, row.car, _time_or_place(row), void)
        for row in rows
        if row.note != NOT_STARTED
    ]


def _time_or_place(row: Row) -> float | None:
    return row.time_s if row.place is None else float(row.place)


def rank_officially(state: MeetState) -> tuple[MeetPlace, ...]:
    """Return the official ranking, cars that withdrew or have not run at the end.

    Notes
    -----
    Those of a final come before all others and are ranked by all their runs; the others by
    their runs before it. On a ladder cars that fell in the same round share a place.
    """
    out = {car for car, entry in state.entries.items() if entry.withdrawn}
    groups: list[MeetPlace] = []
    if state.seeds:
        groups = _by_ladder(state, out)
    else:
        finalists = set(state.finalists)
        if finalists:
            rows = [row for row in heat_rows(state) if row.car in finalists - out]
            ranked = rank_by_rule(rows, rule_of(state))
            groups = [_place(one, 0, in_final=True) for one in ranked]
        first = list(heat_rows(state, lambda stage: stage == STAGE_HEATS))
        others = rank_by_rule(first, rule_of(state))
        groups += _without([one for one in others if one.car not in finalists], out, len(groups))
    placed = {one.car for one in groups}
    rest = [car for car in state.entries if car not in placed]
    rest.sort(key=lambda car: (car in out, car))
    return (*groups, *(MeetPlace(None, car) for car in rest))


def rank_so_far(state: MeetState) -> tuple[MeetPlace, ...]:
    """Return the standings while heats are still to run; the official ranking once they are run.

    Notes
    -----
    A rule that sums or averages asks for complete sets, which nobody has yet. So cars stand by
    the mean of the times they have, those with more runs without a finish behind.
    """
    by_time = rule_of(state).score not in {Score.POINTS, Score.BEST}
    if state.seeds or state.finalists or not by_time or is_over(state):
        return rank_officially(state)
    out = {car for car, entry in state.entries.items() if entry.withdrawn}
    times: dict[int, list[float]] = {}
    lost: dict[int, int] = {}
    for row in heat_rows(state):
        lost[row.car] = lost.get(row.car, 0) + (row.time_s is None)
        if row.time_s is not None:
            times.setdefault(row.car, []).append(row.time_s)
    means = {
        car: (lost[car], math.fsum(own) / len(own)) for car, own in times.items() if car not in out
    }
    order = sorted(means, key=lambda car: means[car])
    keys = [means[car] for car in order]
    found = [MeetPlace(keys.index(means[car]) + 1, car, means[car][1]) for car in order]
    rest = [car for car in state.entries if car not in means]
    rest.sort(key=lambda car: (car in out, car))
    return (*found, *(MeetPlace(None, car) for car in rest))


def _without(ranked: list[OfficialPlace], out: Collection[int], before: int) -> list[MeetPlace]:
    """Return places counted anew without the cars that are out, after those `before`."""
    kept = [one for one in ranked if one.car not in out]
    found = []
    for one in kept:
        better = sum(other.place < one.place for other in kept)
        found.append(_place(replace(one, place=better + 1), before))
    return found


def _place(one: OfficialPlace, before: int, *, in_final: bool = False) -> MeetPlace:
    return MeetPlace(
        one.place + before,
        one.car,
        one.score if math.isfinite(one.score) else None,
        one.missing,
        "" if one.split_by is None else str(one.split_by),
        in_final,
    )


def _by_ladder(state: MeetState, out: Collection[int]) -> list[MeetPlace]:
    found: list[MeetPlace] = []
    for group in ladder_order(state):
        place = len(found) + 1
        found += [MeetPlace(place, car) for car in group if car not in out]
    return found


def rank_by_model(state: MeetState, rng: np.random.Generator) -> TimedResult | None:
    """Return the ranking by all times with the odds of each car; None with too few of them."""
    from hillbench.racing.timed_result import rank_by_time

    rows = [row for row in heat_rows(state) if row.time_s is not None]
    if not state.settings.timed or len(rows) < 3 or len({row.car for row in rows}) < 2:
        return None
    return rank_by_time(heat_rows(state), rng=rng)


def rank_by_places(state: MeetState, rng: np.random.Generator) -> PlaceResult | None:
    """Return the ranking by places across the line; None with too few of them."""
    from hillbench.racing.places import Order, rank_by_place

    heats: dict[int, list[HeatTime]] = {}
    for row in heat_rows(state):
        heats.setdefault(row.heat, []).append(row)
    orders = []
    for rows in heats.values():
        finished = sorted((row.time_s, row.car, row.lane) for row in rows if row.time_s is not None)
        lost = [(row.car, row.lane) for row in rows if row.time_s is None]
        if len(finished) + len(lost) < 2 or not finished:
            continue
        cars = [car for _, car, _ in finished] + [car for car, _ in lost]
        lanes = [lane for _, _, lane in finished] + [lane for _, lane in lost]
        told = () if state.settings.open_track else tuple(lanes)
        orders.append(Order(tuple(cars), told, len(finished)))
    return rank_by_place(orders, rng=rng) if orders else None


def fastest_cars(state: MeetState, count: int, rng: np.random.Generator) -> tuple[int, ...]:
    """Return the fastest cars that go on, by the model over all their times so far."""
    result = rank_by_model(state, rng)
    if result is None:
        return ()
    going = set(state.active())
    cars = [
        one.car for one in result.standings if one.typical_time_s is not None and one.car in going
    ]
    return tuple(cars[:count])


def is_over(state: MeetState) -> bool:
    """Return whether everything drawn has been run."""
    from hillbench.racing.staging import upcoming

    return state.drawn and not upcoming(state) and state.running is None


def next_stage(state: MeetState) -> str:
    """Return what is to be drawn once the heats are over: final, ladder, or nothing."""
    if not is_over(state) or state.finalists or state.seeds:
        return ""
    if state.settings.format in {Format.TIMED_HEATS_FINAL, Format.TWO_RUNS_FINAL}:
        return "final"
    return STAGE_LADDER if state.settings.format is Format.SINGLE_SEEDED else ""
