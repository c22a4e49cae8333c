"""Keep a casting, new or changed."""

from __future__ import annotations

from datetime import datetime

from hillbench.records import casting_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import CastingRecord
from hillbench.records.names import clean_name, clean_note


def save_casting(
    book: BenchBook, name: str, note: str, now: datetime, *, casting_id: int | None = None
) -> CastingRecord:
    """Add a casting, or change the one with number `casting_id`.

    Raises
    ------
    InvalidInput
        If the name is taken or will not do.
    NotFound
        If there is no casting to change.
    """
    name, note = clean_name(name), clean_note(note)
    with book.write() as session:
        if casting_id is None:
            return casting_store.add_casting(session, name, note, now)
        return casting_store.change_casting(session, casting_id, name, note, now)
