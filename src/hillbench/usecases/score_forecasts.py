"""Hold kept forecasts against what the clock said after the change was made."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Final

import numpy as np
from sqlalchemy.orm import Session

from hillbench.coasting.car import Car
from hillbench.fitting.scoreboard import KeptForecast, Scoreboard, score_forecasts
from hillbench.fitting.unknown import NINETY_PERCENT
from hillbench.records import forecast_store, run_store, track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import TimedRun
from hillbench.records.forecast_entities import ForecastRecord
from hillbench.timing import run as timed
from hillbench.timing.gain import Gain, measure_gain
from hillbench.usecases.bearing_states import lubricant_in
from hillbench.usecases.car_then import CarHistory
from hillbench.usecases.compare_outing import car_labels, common_uncertainty_s
from hillbench.usecases.gather_runs import read_histories

FEWEST_RUNS: Final = 3
"""Runs with a time before and after the change from which on the clock is asked."""

MOST_RUNS: Final = 40
"""Latest runs before and first runs after that are asked."""

BEFORE, AFTER = "before", "after"

_SEED: Final = 64
_MEASURED: Final = tuple(field.name for field in dataclasses.fields(Car))


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
    runs_otherwise
        Runs since the change in which something else was changed too; they do not count.
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
    runs_otherwise: int
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
    Before: the latest runs of the car on that version of the track, with the car and its
    bearings as they were when the forecast was made. After: its runs since the change was
    noted, until another kept change of that car, with everything but what the change touches
    as it was before. Other cars that ran in between are the control, as in `hillbench gain`.
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
    runs, common_s, otherwise = _runs(session, forecast, kept)
    counts = {name: sum(run.car == name for run in runs) for name in (BEFORE, AFTER)}
    enough = min(counts.values()) >= FEWEST_RUNS
    clock = _clock(runs, common_s) if enough else None
    held = None if clock is None else _kept(forecast, clock).held
    sentence = _sentence(forecast, counts, clock, held) + _tell_otherwise(otherwise)
    return Scored(
        forecast,
        cars[forecast.car_id],
        tracks[forecast.track_id],
        counts[BEFORE],
        counts[AFTER],
        otherwise,
        clock,
        held,
        sentence,
    )


def _runs(
    session: Session, forecast: ForecastRecord, kept: Sequence[ForecastRecord]
) -> tuple[tuple[timed.TimedRun, ...], float, int]:
    """Return the runs that tell of a forecast, in order, and the uncertainty of a time.

    Last comes the number of later runs that do not count.
    """
    every = [
        run
        for run in reversed(run_store.list_runs(session, track_id=forecast.track_id))
        if run.track_version_id == forecast.track_version_id and run.finish_time_s is not None
    ]
    own_runs = [run for run in every if run.car_id == forecast.car_id]
    history = read_histories(session, [forecast.car_id], own_runs)[forecast.car_id]
    before = _before(history, forecast, own_runs)
    later = _later(forecast, kept, own_runs)
    after = [run for run in later if _same_otherwise(history, forecast, run.at)][:MOST_RUNS]
    otherwise = len(later[:MOST_RUNS]) - len(after)
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
    return runs, common_uncertainty_s([run for run, _ in own]), max(otherwise, 0)


def _before(
    history: CarHistory, forecast: ForecastRecord, runs: Sequence[TimedRun]
) -> list[TimedRun]:
    then = history.at(forecast.made_at)
    own = [run for run in runs if run.at <= forecast.made_at and history.at(run.at) == then]
    return own[-MOST_RUNS:]


def _later(
    forecast: ForecastRecord, kept: Sequence[ForecastRecord], runs: Sequence[TimedRun]
) -> list[TimedRun]:
    """Return the runs since the change was noted, until the next change that was kept."""
    if forecast.done_at is None:
        return []
    next_done = [
        one.done_at
        for one in kept
        if one.car_id == forecast.car_id
        and one.done_at is not None
        and one.done_at > forecast.done_at
    ]
    end: datetime | None = min(next_done, default=None)
    return [run for run in runs if run.at >= forecast.done_at and (end is None or run.at < end)]


def _same_otherwise(history: CarHistory, forecast: ForecastRecord, moment: datetime) -> bool:
    """Return whether the car at a moment differs from before only in what the change touches.

    A lubrication that nobody noted counts as made, for the builder said so; another one than
    was forecast does not.
    """
    before, now = history.at(forecast.made_at), history.at(moment)
    wanted = forecast.change.get("state")
    if now.state != before.state and not (wanted and _is_state(now.state, str(wanted))):
        return False
    free = {name for name in _MEASURED if forecast.change.get(name) is not None}
    if "mass_g" in free:
        free |= {"cg_ahead_of_rear_axle_mm", "cg_height_mm", "pitch_gyration_mm"}
    if forecast.change.get("drag_area_factor", 1.0) != 1.0:
        free.add("drag_area_cm2")
    same_axles = now.axles_set == before.axles_set or forecast.change.get("steer_deg") is not None
    return same_axles and all(
        name in free or getattr(now.car, name) == getattr(before.car, name) for name in _MEASURED
    )


def _is_state(state: str, wanted: str) -> bool:
    """Return whether a state is one with the wanted lubricant, or one without a name."""
    word = lubricant_in(state)
    return word == wanted if word else True


@lru_cache(maxsize=128)
def _clock(runs: tuple[timed.TimedRun, ...], uncertainty_s: float) -> Gain:
    rng = np.random.default_rng(_SEED)
    return measure_gain(runs, BEFORE, AFTER, rng, reading_uncertainty_s=uncertainty_s)


def _tell_otherwise(count: int) -> str:
    if not count:
        return ""
    runs = "1 later run does" if count == 1 else f"{count} later runs do"
    return f" {runs} not count, for something else was changed on the car too."


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
