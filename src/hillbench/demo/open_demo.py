"""Open the demo bench: fill it where there is none, or anew where that is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from hillbench.demo.fill_demo import fill_demo
from hillbench.records import about_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.data_folder import demo_folder


@dataclass(frozen=True, slots=True)
class OpenedDemo:
    """The open demo bench.

    Attributes
    ----------
    book
        The bench book.
    set_aside
        Where the former demo bench went; None where there was none or it stayed.
    """

    book: BenchBook
    set_aside: Path | None = None


def open_demo(folder: Path, *, seed: int, now: datetime, reset: bool = False) -> OpenedDemo:
    """Return the demo bench, filled.

    Parameters
    ----------
    folder
        Data folder of one's own bench; the demo has a folder inside it.
    seed
        Seed of the invented runs, used when the bench is filled.
    now
        Present moment, UTC.
    reset
        Whether to fill it anew. The former one is renamed, never deleted: somebody may have
        entered things there.
    """
    place = demo_folder(folder)
    set_aside = None
    if reset and place.exists():
        set_aside = place.with_name(f"{place.name}-until-{now:%Y%m%d-%H%M%S}")
        place.rename(set_aside)
    book = BenchBook.open(place)
    with book.read() as session:
        filled = about_store.is_invented(session)
    if not filled:
        fill_demo(book, seed=seed, now=now)
    return OpenedDemo(book, set_aside)
