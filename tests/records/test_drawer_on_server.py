"""The drawer and builds on a PostgreSQL server; skipped where none is installed."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from hillbench.errors import InvalidInput
from hillbench.records import drawer_store
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.end_build import abandon_build
from hillbench.usecases.save_car import save_car
from hillbench.usecases.show_build import list_builds, show_build
from hillbench.usecases.watch_clock import watch_clock
from hillbench.usecases.work_step import StepEntry, check_off
from tests.databases import Server
from tests.usecases.builds import NOW, Bench, begun, fill_drawer


@pytest.fixture
def address(server: Server) -> str:
    """A database with nothing in it."""
    return server.new_database()


def test_many_who_draw_at_once_never_bring_it_below_zero(tmp_path: Path, address: str) -> None:
    with BenchBook.open_on_server(tmp_path, address) as book:
        piece, *_ = fill_drawer(book)

        def draw(_: int) -> bool:
            try:
                with book.write() as session:
                    drawer_store.draw(session, piece, 1, NOW)
            except InvalidInput:
                return False
            return True

        with ThreadPoolExecutor(4) as pool:
            drawn = list(pool.map(draw, range(12)))
        with book.read() as session:
            left = drawer_store.find_item(session, piece).stock
    assert sum(drawn) == 5
    assert left == 0


def test_a_build_is_worked_through_and_given_up(tmp_path: Path, address: str) -> None:
    with BenchBook.open_on_server(tmp_path, address) as book:
        car = save_car(book, "Marsh Runner", "No. 7", "", NOW)
        on = Bench(book, car.id, *fill_drawer(book))
        build_id = begun(on)
        entry = StepEntry("", (58.4,), 0.01, anyway=True)
        check_off(book, on.step(build_id, "fit 1").id, entry, NOW)
        watch_clock(book, build_id, NOW)
        shown = show_build(book, build_id, NOW)
        assert [one.step.key for one in shown.resting] == ["fit 1"]
        assert str(shown.cost.total) == "1.05"
        assert list_builds(book)[0].done == 1
        abandon_build(book, build_id, NOW)
        assert on.stock(on.piece_id) == 5
