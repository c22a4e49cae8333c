"""A bench book with a car, a filled drawer and a build in hand; invented."""

from __future__ import annotations

import atexit
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from functools import cache
from pathlib import Path

from hillbench.building.plan import Fixing
from hillbench.records import drawer_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.build_entities import StepRecord
from hillbench.records.drawer_entities import ItemEntry, ItemKind, StockUnit
from hillbench.usecases.begin_build import begin_build
from hillbench.usecases.build_entry import BuildEntry, BuildTerms, PieceEntry
from hillbench.usecases.save_car import save_car
from hillbench.usecases.save_drawer_item import save_drawer_item
from hillbench.usecases.show_build import show_build
from hillbench.usecases.weigh_car import weigh_car

NOW = datetime(2026, 3, 2, 18, 0, tzinfo=UTC)


@dataclass(frozen=True)
class Bench:
    """What is on it."""

    book: BenchBook
    car_id: int
    piece_id: int
    screw_id: int
    film_id: int
    graphite_id: int

    def stock(self, item_id: int) -> float:
        with self.book.read() as session:
            return drawer_store.find_item(session, item_id).stock

    def step(self, build_id: int, key: str, now: datetime = NOW) -> StepRecord:
        shown = show_build(self.book, build_id, now).step_named(key)
        assert shown is not None, key
        return shown.record


def add_item(
    book: BenchBook, kind: ItemKind, name: str, unit: StockUnit, price: str, **details: object
) -> int:
    entry = ItemEntry(kind, name, "", unit, Decimal(price), "the shop", 2, dict(details))
    return save_drawer_item(book, entry, NOW).id


def fill_drawer(book: BenchBook) -> tuple[int, int, int, int]:
    """Put pieces, screws, film and graphite into the drawer and return their numbers."""
    piece = add_item(
        book, ItemKind.BALLAST_PIECE, "quarter ounce", StockUnit.PIECE, "0.35",
        mass_g=7.087, size_mm=[19.0, 13.0, 2.6], metal="lead",
    )  # fmt: skip
    screw = add_item(
        book, ItemKind.SCREW, "2-56 × 1/4 in pan", StockUnit.PIECE, "0.08",
        thread="2-56", length_mm=6.35, head="pan",
    )  # fmt: skip
    film = add_item(
        book, ItemKind.FILM, "clear film", StockUnit.SHEET, "1.10",
        film="clear", width_mm=210.0, height_mm=297.0,
    )  # fmt: skip
    graphite = add_item(book, ItemKind.LUBRICANT, "graphite", StockUnit.GRAM, "1.20")
    with book.write() as session:
        for item_id, amount in ((piece, 5), (screw, 10), (film, 2), (graphite, 3.0)):
            drawer_store.buy(session, item_id, amount, NOW)
    return piece, screw, film, graphite


@contextmanager
def bench(folder: Path) -> Iterator[Bench]:
    """Give an open bench book with a weighed car and a filled drawer."""
    template, bench_of = _filled()
    shutil.copytree(template, folder, dirs_exist_ok=True)
    with BenchBook.open(folder) as book:
        yield replace(bench_of, book=book)


@cache
def _filled() -> tuple[Path, Bench]:
    """Fill one once, since making a database takes longer than most tests."""
    folder = Path(tempfile.mkdtemp())
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    with BenchBook.open(folder) as book:
        car = save_car(book, "Marsh Runner", "No. 7", "", NOW)
        weigh_car(book, car.id, [37.21, 37.19], 0.01, NOW - timedelta(days=1))
        return folder, Bench(book, car.id, *fill_drawer(book))


def entry_of(bench: Bench, **changed: object) -> BuildEntry:
    """Return a whole build."""
    values: dict[str, object] = {
        "rivets": 2, "rivet_head_mm": 4.0, "rivet_head_height_mm": 1.2,
        "screws": 2, "thread": "2-56", "screw_length_mm": 6.35, "base_thickness_mm": 1.2,
        "post_height_mm": 8.0, "screw_item_id": bench.screw_id,
        "trim_g": 1.5, "trim_text": "the interior",
        "pieces": (PieceEntry(bench.piece_id, 3),), "fixing": Fixing.CYANOACRYLATE,
        "decals": 4, "film_item_id": bench.film_id,
        "graphite_rounds": 2, "lubricant_item_id": bench.graphite_id,
        **changed,
    }  # fmt: skip
    return BuildEntry(**values)  # type: ignore[arg-type]


def begun(bench: Bench, **terms: object) -> int:
    """Begin a whole build and return its number."""
    values: dict[str, object] = {"name": "Second round", "limit_g": 57.0, **terms}
    held = BuildTerms(**values)  # type: ignore[arg-type]
    return begin_build(bench.book, bench.car_id, entry_of(bench), held, NOW).id
