"""Keep a car, new or changed."""

from __future__ import annotations

from datetime import datetime

from hillbench.records import car_store, casting_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import CarRecord
from hillbench.records.names import clean_name, clean_note


def save_car(
    book: BenchBook,
    casting: str,
    name: str,
    note: str,
    now: datetime,
    *,
    car_id: int | None = None,
) -> CarRecord:
    """Add a car, or change the one with number `car_id`.

    Parameters
    ----------
    casting
        Name of its casting; one of that name is added where there is none in use.

    Raises
    ------
    InvalidInput
        If a name is taken or will not do; no casting is added then.
    NotFound
        If there is no car to change.
    """
    name, casting, note = clean_name(name), clean_name(casting, "casting"), clean_note(note)
    with book.write() as session:
        of = casting_store.find_casting_named(session, casting)
        if of is None:
            of = casting_store.add_casting(session, casting, "", now)
        if car_id is None:
            return car_store.add_car(session, of.id, name, note, now)
        return car_store.change_car(session, car_id, of.id, name, note, now)
