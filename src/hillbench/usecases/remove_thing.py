"""Take things out of use and bring them back."""

from __future__ import annotations

from datetime import datetime

from hillbench.records import removal
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind


def remove_thing(book: BenchBook, kind: Kind, id_: int, now: datetime) -> None:
    """Take a thing of any kind out of use, with all that belongs to it.

    Raises
    ------
    NotFound
        If there is no such thing.
    """
    with book.write() as session:
        removal.remove(session, kind, id_, now)


def restore_thing(book: BenchBook, kind: Kind, id_: int) -> None:
    """Bring a thing of any kind back.

    Raises
    ------
    NotFound
        If there is no such thing.
    InvalidInput
        If another thing has taken its name meanwhile (place ``name``).
    """
    with book.write() as session:
        removal.restore(session, kind, id_)
