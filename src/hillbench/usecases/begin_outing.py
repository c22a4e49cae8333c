"""Begin an outing, and change what was said about it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Final

from hillbench.errors import InvalidInput, Problem
from hillbench.records import car_store, outing_store, track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import CarRecord, TrackRecord
from hillbench.records.names import clean_note
from hillbench.records.outing_entities import Conditions, Outing
from hillbench.records.quantities import check_range
from hillbench.usecases.plan_outing import plan_outing

TEMPERATURE_RANGE_C: Final = (-40.0, 60.0, "°C")
HUMIDITY_RANGE_PERCENT: Final = (0.0, 100.0, "%")
MATTERS_RANGE_S: Final = (0.0001, 100.0, "s")


def begin_outing(
    book: BenchBook,
    track_id: int,
    car_ids: Sequence[int],
    lanes: int,
    now: datetime,
    *,
    together: bool = False,
    conditions: Conditions | None = None,
    matters_s: float | None = None,
    note: str = "",
) -> Outing:
    """Begin an outing on a track as it is now, with the order to run in.

    Parameters
    ----------
    car_ids
        Cars in the order chosen, 1 to 80, each once.
    lanes
        Lanes in use, 1 to 20; cars change lanes in turn.
    together
        Whether as many cars as there are lanes start side by side.
    conditions
        What the day is like; nothing noted where None.
    matters_s
        Gap below which nobody cares, s; one spread of a run where None.

    Raises
    ------
    InvalidInput
        If a car or a count is not allowed, or a condition is out of range.
    NotFound
        If there is no such track or car.
    """
    noted = conditions or Conditions()
    plan = plan_outing(car_ids, lanes, together=together)
    _require(tuple(_problems(noted, matters_s)))
    cleaned = clean_note(note)
    with book.write() as session:
        track = track_store.find_track(session, track_id)
        cars = [car_store.find_car(session, car_id) for car_id in car_ids]
        things: list[TrackRecord | CarRecord] = [track, *cars]
        gone = [thing for thing in things if thing.removed_at is not None]
        _require(
            [
                Problem("cars", f"{one.name!r}, which was removed", "in use", "restore it first")
                for one in gone
            ]
        )
        return outing_store.add_outing(
            session,
            track.version_id,
            track_id,
            now,
            plan,
            conditions=noted,
            matters_s=matters_s,
            note=cleaned,
        )


def change_outing(
    book: BenchBook,
    outing_id: int,
    *,
    car_ids: Sequence[int],
    lanes: int,
    together: bool,
    conditions: Conditions,
    matters_s: float | None,
    note: str,
) -> Outing:
    """Change cars, lanes, conditions, limit or note of an outing; its runs stay as they are.

    Raises
    ------
    InvalidInput
        If a car or a count is not allowed, or a condition is out of range.
    NotFound
        If there is no such outing or car.
    """
    plan = plan_outing(car_ids, lanes, together=together)
    _require(tuple(_problems(conditions, matters_s)))
    cleaned = clean_note(note)
    with book.write() as session:
        for car_id in car_ids:
            car_store.find_car(session, car_id)
        return outing_store.change_outing(session, outing_id, plan, conditions, matters_s, cleaned)


def _problems(conditions: Conditions, matters_s: float | None) -> Iterator[Problem]:
    for where, value, allowed in (
        ("temperature_c", conditions.temperature_c, TEMPERATURE_RANGE_C),
        ("humidity_percent", conditions.humidity_percent, HUMIDITY_RANGE_PERCENT),
        ("matters_s", matters_s, MATTERS_RANGE_S),
    ):
        if value is not None:
            yield from check_range(where, value, allowed)
    try:
        clean_note(conditions.lubricant_note, "lubricant_note")
    except InvalidInput as error:
        yield from error.problems


def _require(problems: Sequence[Problem]) -> None:
    if problems:
        raise InvalidInput(problems)
