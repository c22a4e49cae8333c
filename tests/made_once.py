"""An empty bench book made once: making its tables is most of what a small test would take."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from hillbench.records import bench_book
from hillbench.records.bench_book import DATABASE_NAME, BenchBook


@pytest.fixture(scope="session")
def empty_database(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The database file of a new bench book, made as the app makes it."""
    folder = tmp_path_factory.mktemp("empty")
    BenchBook.open(folder).close()
    return folder / DATABASE_NAME


@pytest.fixture(scope="module", autouse=True)
def made_once(empty_database: Path) -> Iterator[None]:
    """Copy that file for every new bench book; an older one is upgraded as ever.

    The tests of the records themselves do without.
    """
    upgrade = bench_book._upgrade

    def copy_or_upgrade(database: Path) -> None:
        if database.exists():
            upgrade(database)
        else:
            shutil.copyfile(empty_database, database)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(bench_book, "_upgrade", copy_or_upgrade)
        yield
