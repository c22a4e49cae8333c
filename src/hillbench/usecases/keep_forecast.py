"""Keep a forecast, and note when its change was made."""

from __future__ import annotations

import dataclasses
from datetime import datetime

from hillbench.errors import InvalidInput, Problem
from hillbench.fitting.advice import Advice
from hillbench.records import forecast_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.forecast_entities import ForecastRecord
from hillbench.usecases.advise_car import Wish
from hillbench.usecases.gather_runs import Gathered


def keep_forecast(
    book: BenchBook, gathered: Gathered, car_id: int, advice: Advice, wish: Wish, now: datetime
) -> ForecastRecord:
    """Keep what a change was forecast to gain, to be held against the clock later.

    Raises
    ------
    InvalidInput
        If there is no forecast of it, because the car may not finish any more.
    """
    forecast = advice.forecast
    gain, low, high = forecast.gain_s, forecast.gain_low_s, forecast.gain_high_s
    if gain is None or low is None or high is None or forecast.time_s is None:
        raise InvalidInput(
            [
                Problem(
                    "change",
                    f"{forecast.change.name!r}, after which the car may not finish",
                    "a change with a forecast",
                )
            ]
        )
    record = ForecastRecord(
        id=0,
        track_version_id=gathered.track.version_id,
        track_id=gathered.track.id,
        car_id=car_id,
        made_at=now,
        done_at=None,
        change_name=forecast.change.name,
        change=_stated(dataclasses.asdict(forecast.change)),
        verdict=str(advice.verdict),
        time_s=forecast.time_s,
        gain_s=gain,
        gain_low_s=low,
        gain_high_s=high,
        target_time_s=wish.target_time_s,
        probability_target=forecast.probability_target,
    )
    with book.write() as session:
        return forecast_store.add_forecast(session, record)


def mark_change_done(book: BenchBook, forecast_id: int, now: datetime) -> ForecastRecord:
    """Note that the change was made; runs from now on come after it.

    Raises
    ------
    NotFound
        If there is no such forecast.
    """
    with book.write() as session:
        known = forecast_store.find_forecast(session, forecast_id)
        if known.done_at is not None:
            return known
        return forecast_store.mark_done(session, forecast_id, now)


def mark_change_undone(book: BenchBook, forecast_id: int) -> ForecastRecord:
    """Take back that the change was made."""
    with book.write() as session:
        return forecast_store.mark_done(session, forecast_id, None)


def _stated(change: dict[str, object]) -> dict[str, object]:
    return {name: value for name, value in change.items() if value not in (None, "")}
