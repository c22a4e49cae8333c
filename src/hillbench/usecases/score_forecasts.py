"""Hold kept forecasts against what the clock said after the change was made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Final

import numpy as np
from sqlalchemy.orm import Session

from hillbench.fitting.scoreboard import KeptForecast, Scoreboard, score_forecasts
from hillbench.fitting.unknown import NINETY_PERCENT
from hillbench.records import forecast_store, run_store, track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import TimedRun
from hillbench.records.forecast_entities import ForecastRecord
from hillbench.timing import run as timed
from hillbench.timing.gain import Gain, measure_gain
from hillbench.usecases.car_then import read_history
from hillbench.usecases.compare_outing import car_labels, common_uncertainty_s

FEWEST_RUNS: Final = 3
"""Runs with a time before and after the change from which on the clock is asked."""

MOST_RUNS: Final = 40
"""Latest runs before and first runs after that are asked."""

BEFORE, AFTER = "before", "after"

_SEED: Final = 64


@dataclass(frozen=True, slots=True)
class Scored:
    """A kept forecast beside what the clock said.

    Attributes
    ----------
    forecast
        The forecast.
    car_name, track_name
        Of what.
    runs_before, runs_after
        Runs with a time that tell of it.
    clock
        What the clock said; None where there are too few runs.
    held
        Whether the 90 % interval held; None where the clock was not asked.
    sentence
        How it stands, in words.
    """

    forecast: ForecastRecord
    car_name: str
    track_name: str
    runs_before: int
    runs_after: int
    clock: Gain | None
    held: bool | None
    sentence: str


@dataclass(frozen=True, slots=True)
class ForecastBoard:
    """All kept forecasts, latest first, and how they turned out together."""

    scored: tuple[Scored, ...]
    board: Scoreboard


def score_kept_forecasts(book: BenchBook) -> ForecastBoard:
    """Return every kept forecast beside the clock, and how good they were.

    Notes
    -----
    Before: the latest runs of the car on that version of the track, with the car as it was when
    the forecast was made. After: its runs since the change was noted, until another kept change
    of that car. Other cars that ran in between are the control, as in `hillbench gain`.
    """
    with book.read() as session:
        kept = forecast_store.list_forecasts(session)
        cars = car_labels(session, tuple({one.car_id for one in kept}))
        tracks = track_store.names(session, {one.track_id for one in kept})
        scored = tuple(_scored(session, one, kept, cars, tracks) for one in kept)
    told = [_kept(one.forecast, one.clock) for one in scored if one.clock is not None]
    return ForecastBoard(scored, score_forecasts(told))


def _kept(forecast: ForecastRecord, clock: Gain) -> KeptForecast:
    return KeptForecast(
        gain_s=forecast.gain_s,
        gain_low_s=forecast.gain_low_s,
        gain_high_s=forecast.gain_high_s,
        clock_gain_s=clock.gain_s,
        clock_uncertainty_s=(clock.gain_high_s - clock.gain_low_s) / (2.0 * NINETY_PERCENT),
    )


def _scored(
    session: Session,
    forecast: ForecastRecord,
    kept: Sequence[ForecastRecord],
    cars: Mapping[int, str],
    tracks: Mapping[int, str],
) -> Scored:
    runs, common_s = _runs(session, forecast, kept)
    counts = {name: sum(run.car == name for run in runs) for name in (BEFORE, AFTER)}
    enough = min(counts.values()) >= FEWEST_RUNS
    clock = _clock(runs, common_s) if enough else None
    held = None if clock is None else _kept(forecast, clock).held
    sentence = _sentence(forecast, counts, clock, held)
    return Scored(
        forecast,
        cars[forecast.car_id],
        tracks[forecast.track_id],
        counts[BEFORE],
        counts[AFTER],
        clock,
        held,
        sentence,
    )


def _runs(
    session: Session, forecast: ForecastRecord, kept: Sequence[ForecastRecord]
) -> tuple[tuple[timed.TimedRun, ...], float]:
    """Return the runs that tell of a forecast, in order, and the uncertainty of a time."""
    every = [
        run
        for run in reversed(run_store.list_runs(session, track_id=forecast.track_id))
        if run.track_version_id == forecast.track_version_id and run.finish_time_s is not None
    ]
    before = _before(session, forecast, every)
    after = _after(forecast, kept, every)
    if not before or not after:
        own = [(run, BEFORE) for run in before] + [(run, AFTER) for run in after]
    else:
        chosen = {run.id: BEFORE for run in before} | {run.id: AFTER for run in after}
        own = [
            (run, chosen.get(run.id, f"car {run.car_id}"))
            for run in every
            if before[0].at <= run.at <= after[-1].at
            and (run.id in chosen or run.car_id != forecast.car_id)
        ]
    runs = tuple(
        timed.TimedRun(car=label, time_s=run.finish_time_s, note=run.note) for run, label in own
    )
    return runs, common_uncertainty_s([run for run, _ in own])


def _before(session: Session, forecast: ForecastRecord, runs: Sequence[TimedRun]) -> list[TimedRun]:
    history = read_history(session, forecast.car_id, {})
    then = history.at(forecast.made_at)
    own = [
        run
        for run in runs
        if run.car_id == forecast.car_id
        and run.at <= forecast.made_at
        and history.at(run.at) == then
    ]
    return own[-MOST_RUNS:]


def _after(
    forecast: ForecastRecord, kept: Sequence[ForecastRecord], runs: Sequence[TimedRun]
) -> list[TimedRun]:
    if forecast.done_at is None:
        return []
    later = [
        one.done_at
        for one in kept
        if one.car_id == forecast.car_id
        and one.done_at is not None
        and one.done_at > forecast.done_at
    ]
    end: datetime | None = min(later, default=None)
    own = [
        run
        for run in runs
        if run.car_id == forecast.car_id
        and run.at >= forecast.done_at
        and (end is None or run.at < end)
    ]
    return own[:MOST_RUNS]


@lru_cache(maxsize=128)
def _clock(runs: tuple[timed.TimedRun, ...], uncertainty_s: float) -> Gain:
    rng = np.random.default_rng(_SEED)
    return measure_gain(runs, BEFORE, AFTER, rng, reading_uncertainty_s=uncertainty_s)


def _sentence(
    forecast: ForecastRecord, counts: Mapping[str, int], clock: Gain | None, held: bool | None
) -> str:
    if forecast.done_at is None:
        return "Not made yet: note here when you have made the change, then time a few runs."
    if clock is None:
        short = [
            f"{FEWEST_RUNS - counts[name]} more {name} it"
            for name in (BEFORE, AFTER)
            if counts[name] < FEWEST_RUNS
        ]
        return (
            f"The clock is asked from {FEWEST_RUNS} timed runs before and {FEWEST_RUNS} after the "
            f"change: {' and '.join(short)} to go."
        )
    end = "the interval held" if held else "the interval did not hold"
    how = "gained" if clock.gain_s >= 0.0 else "lost"
    spread = (clock.gain_high_s - clock.gain_low_s) / 2.0
    return f"The clock says it {how} {abs(clock.gain_s):.3f} ± {spread:.3f} s: {end}."
