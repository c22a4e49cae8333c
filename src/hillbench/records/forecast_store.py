"""Kept forecasts."""

from __future__ import annotations

import dataclasses
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from hillbench.records.forecast_entities import ForecastRecord
from hillbench.records.removal import find_row, in_use
from hillbench.records.tables import ForecastRow


def add_forecast(session: Session, forecast: ForecastRecord) -> ForecastRecord:
    """Keep a forecast; its number is given here, whatever it says."""
    fields = {field.name: getattr(forecast, field.name) for field in dataclasses.fields(forecast)}
    fields.pop("id")
    row = ForecastRow(**fields)
    session.add(row)
    session.flush()
    return _record(row)


def find_forecast(session: Session, forecast_id: int) -> ForecastRecord:
    """Return one forecast, removed or not.

    Raises
    ------
    NotFound
        If there is none.
    """
    return _record(find_row(session, ForecastRow, forecast_id))


def list_forecasts(
    session: Session, *, car_id: int | None = None, include_removed: bool = False
) -> tuple[ForecastRecord, ...]:
    """Return kept forecasts, latest first: of one car or of all."""
    query = select(ForecastRow).order_by(ForecastRow.made_at.desc(), ForecastRow.id.desc())
    if car_id is not None:
        query = query.where(ForecastRow.car_id == car_id)
    query = in_use(query, ForecastRow, include_removed=include_removed)
    return tuple(_record(row) for row in session.scalars(query))


def mark_done(session: Session, forecast_id: int, done_at: datetime | None) -> ForecastRecord:
    """Note when the change was made; None for not yet.

    Raises
    ------
    NotFound
        If there is no such forecast.
    """
    row = find_row(session, ForecastRow, forecast_id)
    row.done_at = done_at
    session.flush()
    return _record(row)


def _record(row: ForecastRow) -> ForecastRecord:
    return ForecastRecord(
        **{field.name: getattr(row, field.name) for field in dataclasses.fields(ForecastRecord)}
    )
