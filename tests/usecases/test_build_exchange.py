"""Builds and the drawer travel with the bench, and a damaged file is refused."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_checks import check_bench
from hillbench.records.bench_file import BenchFile
from hillbench.records.bench_rows import bench_from_rows
from hillbench.records.entities import Kind
from hillbench.usecases.end_build import save_template
from hillbench.usecases.export_bench import export_bench
from hillbench.usecases.import_bench import import_bench
from hillbench.usecases.list_drawer import list_drawer, show_item
from hillbench.usecases.list_removed import list_removed
from hillbench.usecases.move_stock import choose_currency
from hillbench.usecases.remove_thing import remove_thing, restore_thing
from hillbench.usecases.show_build import list_builds, show_build
from hillbench.usecases.work_step import StepEntry, check_off
from tests.usecases.builds import NOW, Bench, begun, bench


@pytest.fixture
def on(tmp_path: Path) -> Iterator[Bench]:
    with bench(tmp_path / "bench") as opened:
        build_id = begun(opened, meet_at=NOW.replace(year=2027))
        entry = StepEntry("glued <well>", (58.42,), 0.01, anyway=True)
        check_off(opened.book, opened.step(build_id, "fit 1").id, entry, NOW)
        save_template(opened.book, build_id, "Usual ☂", NOW)
        choose_currency(opened.book, "GBP")
        yield opened


def told(book: BenchBook) -> dict[str, Any]:
    with book.read() as session:
        document = bench_from_rows(session, "test", NOW)
    return document.model_dump(mode="json")


def test_all_of_it_comes_back_from_an_export(on: Bench, tmp_path: Path) -> None:
    export_bench(on.book, tmp_path / "bench.zip", NOW)
    with BenchBook.open(tmp_path / "again") as again:
        import_bench(again, tmp_path / "bench.zip")
        assert told(again) == told(on.book)
        first, second = (show_build(book, 1, NOW) for book in (on.book, again))
        assert first == second
        assert list_drawer(again) == list_drawer(on.book)
        assert list_drawer(again).currency == "GBP"
        assert show_item(again, on.piece_id).item.stock == 2


def _spoil(part: str, index: int, **changed: object) -> Callable[[dict[str, Any]], None]:
    def act(document: dict[str, Any]) -> None:
        document[part][index].update(changed)

    return act


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (_spoil("build_steps", 0, build_id=99), "a build of this bench"),
        (_spoil("build_steps", 0, waits_for=["weigh"]), "wait for each other"),
        (_spoil("build_steps", 0, waits_for=["gone"]), "a step of this build"),
        (_spoil("build_steps", 1, key="choose"), "a key of its own"),
        (_spoil("build_steps", 0, draws=[{"item_id": 99, "amount": 1}]), "items of the drawer"),
        (_spoil("stock_moves", 0, item_id=99), "an item of the drawer"),
        (_spoil("stock_moves", 0, thousandths=-5000), "stock of 0 or more"),
        (_spoil("stock_moves", 0, thousandths=5500), "whole units"),
        (_spoil("drawer_items", 0, name=" "), "empty"),
    ],
)
def test_a_file_that_contradicts_itself_is_refused(
    on: Bench, spoil: Callable[[dict[str, Any]], None], says: str
) -> None:
    document = told(on.book)
    assert list(check_bench(BenchFile.model_validate(document))) == []
    spoil(document)
    problems = list(check_bench(BenchFile.model_validate(document)))
    assert any(says in problem.sentence() for problem in problems)


def test_a_removed_build_is_listed_and_comes_back(on: Bench) -> None:
    remove_thing(on.book, Kind.BUILD, 1, NOW)
    assert list_builds(on.book) == ()
    assert [thing.title for thing in list_removed(on.book)] == ["No. 7: Second round"]
    restore_thing(on.book, Kind.BUILD, 1)
    assert [one.build.id for one in list_builds(on.book)] == [1]
