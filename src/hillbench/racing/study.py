"""What a format tells: chance that the fastest car wins, errors of rank, heats and minutes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.racing.counts import Heat
from hillbench.racing.field import NOBODY, Field, Floats, Ints, Meets, draw_meets, run_heats
from hillbench.racing.format import NEEDS_TIMER
from hillbench.racing.format import Format as Format  # noqa: PLC0414 (part of this face)
from hillbench.racing.ladder import build_ladder
from hillbench.racing.qualifying import two_run_heats
from hillbench.racing.schedule import draw_schedule
from hillbench.racing.study_matches import climb, meet_each_other
from hillbench.racing.study_ranking import Timed, points_by_place, ranks, typical_times

FINALISTS: Final = 4
"""Cars in a timed final, where there are more."""


@dataclass(frozen=True, slots=True)
class FormatFigures:
    """What one format tells.

    Attributes
    ----------
    format
        The format.
    fastest_wins, fastest_wins_error
        Chance that the fastest car wins, and its standard error from the number of meets; of
        a season where that was asked for.
    mean_rank_error, mean_rank_error_error
        Mean distance of a car's rank from its true one, and its standard error; likewise.
    car_runs, heats
        Mean numbers for one meet.
    minutes
        Heats times the minutes of a heat.
    needs_timer
        Whether it needs a timer.
    """

    format: Format
    fastest_wins: float
    fastest_wins_error: float
    mean_rank_error: float
    mean_rank_error_error: float
    car_runs: float
    heats: float
    minutes: float
    needs_timer: bool


@dataclass(frozen=True, slots=True)
class _Outcome:
    rank: Floats
    car_runs: float
    heats: float


def formats_for(field: Field) -> tuple[Format, ...]:
    """Return the formats that can be run: with one lane, those in which cars run alone."""
    alone = (Format.TIMED_HEATS, Format.TIMED_HEATS_FINAL, Format.TWO_RUNS_FINAL)
    return tuple(Format) if field.lanes > 1 else alone


def meets_for(field: Field) -> int:
    """Return a number of meets that is quick to compute and tells within about 1.5 %."""
    return int(np.clip(48_000 // field.cars, 200, 2000))


def study_formats(
    field: Field,
    *,
    rng: np.random.Generator,
    meets: int | None = None,
    formats: Sequence[Format] | None = None,
    season_meets: int = 1,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[FormatFigures, ...]:
    """Run many invented meets in each format and return what it told about the cars.

    Parameters
    ----------
    field
        Cars, lanes and spreads.
    rng
        Source of randomness.
    meets
        Invented meets for each format; see `meets_for` for the default.
    formats
        Formats to study; all that can be run by default.
    season_meets
        Meets of a season, with the same cars and lanes, 1 or more. From 2 on, cars are ranked
        by the sum of their places, and `meets` counts seasons.
    progress
        Called with formats done and their number.

    Notes
    -----
    All formats see the same cars and lanes. Timed ones are judged by the model of
    `timed_result` with the spreads known, which is a little better than a meet can do that
    estimates them. Cars that share a rank share a win by lot.
    """
    wanted = formats_for(field) if formats is None else tuple(formats)
    drawn = draw_meets(field, meets or meets_for(field), rng, season_meets)
    found = []
    for done, one in enumerate(wanted):
        if progress is not None:
            progress(done, len(wanted))
        found.append(_figures(one, _run(one, drawn), drawn, season_meets))
    if progress is not None:
        progress(len(wanted), len(wanted))
    return tuple(found)


def _figures(one: Format, outcome: _Outcome, meets: Meets, season_meets: int) -> FormatFigures:
    car_s = meets.car_s[::season_meets]
    true = ranks(car_s)
    rank = outcome.rank
    if season_meets > 1:
        rank = ranks(rank.reshape(len(car_s), season_meets, -1).sum(axis=1))
    lots = meets.rng.random(true.shape)
    winner = np.lexsort((lots, rank), axis=1)[:, 0]
    right = float((winner == np.argmin(car_s, axis=1)).mean())
    error = np.abs(rank - true).mean(axis=1)
    return FormatFigures(
        one,
        right,
        float(np.sqrt(right * (1.0 - right) / len(car_s))),
        float(error.mean()),
        float(error.std() / np.sqrt(len(car_s))),
        outcome.car_runs,
        outcome.heats,
        outcome.heats * meets.field.heat_minutes,
        one in NEEDS_TIMER,
    )


def _run(one: Format, meets: Meets) -> _Outcome:
    if one in {Format.TIMED_HEATS, Format.TIMED_HEATS_FINAL, Format.POINTS}:
        return _heats(one, meets)
    if one in {Format.TWO_RUNS_FINAL, Format.SINGLE_SEEDED}:
        return _two_runs(one, meets)
    if one is Format.PAIRS:
        rank, heats = meet_each_other(meets)
        return _Outcome(rank, 2.0 * heats, heats)
    ladder = build_ladder(meets.field.cars, 2 if one is Format.DOUBLE else 1)
    lots = np.argsort(meets.rng.random(meets.car_s.shape), axis=1)
    rank, races = climb(meets, ladder, lots, 3 if one is Format.SINGLE_OF_THREE else 1)
    return _Outcome(rank, 2.0 * races, races)


def _heats(one: Format, meets: Meets) -> _Outcome:
    cars = _table(draw_schedule(meets.field.cars, meets.field.lanes, rng=meets.rng).heats)
    block = Timed(cars, run_heats(meets, cars))
    if one is Format.POINTS:
        rank = ranks(-points_by_place(meets.field, block))
        return _Outcome(rank, float((cars != NOBODY).sum()), len(cars))
    if one is Format.TIMED_HEATS:
        rank = ranks(typical_times(meets.field, [block]))
        return _Outcome(rank, float((cars != NOBODY).sum()), len(cars))
    return _with_final(block, meets)


def _two_runs(one: Format, meets: Meets) -> _Outcome:
    cars = _table(two_run_heats(meets.field.cars, meets.field.lanes))
    block = Timed(cars, run_heats(meets, cars))
    if one is Format.TWO_RUNS_FINAL:
        return _with_final(block, meets)
    seeds = np.argsort(typical_times(meets.field, [block]), axis=1)
    rank, races = climb(meets, build_ladder(meets.field.cars), seeds)
    runs = float((cars != NOBODY).sum())
    return _Outcome(rank, runs + 2.0 * races, len(cars) + races)


def _with_final(block: Timed, meets: Meets) -> _Outcome:
    """Run a final of the fastest and rank them first, by all their times."""
    field = meets.field
    before = typical_times(field, [block])
    order = np.argsort(before, axis=1)
    chosen = order[:, : min(FINALISTS, field.cars)]
    table = _table(draw_schedule(chosen.shape[1], field.lanes, rng=meets.rng).heats)
    cars = np.where(table == NOBODY, NOBODY, chosen[:, np.maximum(table, 0)])
    final = Timed(cars, run_heats(meets, cars))
    after = typical_times(field, [block, final])
    behind = np.ones(before.shape, dtype=np.bool_)
    np.put_along_axis(behind, chosen, False, axis=1)
    rank = ranks(after + 1e3 * behind)
    runs = float((block.cars != NOBODY).sum() + (table != NOBODY).sum())
    return _Outcome(rank, runs, len(block.cars) + len(table))


def _table(heats: Sequence[Heat]) -> Ints:
    """Return cars by heat and lane, numbered from 0; -1 is an empty lane."""
    return np.array(heats, dtype=np.int64) - 1
