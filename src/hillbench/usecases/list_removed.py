"""List what was removed and can be brought back."""

from __future__ import annotations

from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import RemovedThing
from hillbench.records.removed_things import removed_things


def list_removed(book: BenchBook) -> tuple[RemovedThing, ...]:
    """Return all that was removed, last removed first."""
    with book.read() as session:
        return removed_things(session)
