"""Back up the bench: a copy of everything in one file."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from hillbench.records.atomic_file import new_file
from hillbench.records.backup import write_backup
from hillbench.records.bench_book import BenchBook
from hillbench.records.faults import disk_fault, told_fault


@dataclass(frozen=True, slots=True)
class WrittenFile:
    """A file that was written.

    Attributes
    ----------
    path
        Where it is.
    photo_count
        Photos in it.
    missing_photo_count
        Photos the bench book tells of whose files are lost; they could not be taken along.
    """

    path: Path
    photo_count: int
    missing_photo_count: int


def back_up_bench(book: BenchBook, path: Path) -> WrittenFile:
    """Write a backup; the bench may be in use meanwhile.

    Raises
    ------
    FileExists
        If there is such a file already.
    BenchBookError
        If it cannot be written; nothing is left of it then.
    """
    with telling(path), new_file(path) as temporary:
        found, missing = write_backup(book, temporary)
    return WrittenFile(path, found, missing)


def free_name(folder: Path, word: str, now: datetime) -> Path:
    """Return a name with the date that no file in the folder has yet."""
    stem = f"hillbench-{word}-{now:%Y-%m-%d}"
    path, number = folder / f"{stem}.zip", 2
    while path.exists():
        path, number = folder / f"{stem}-{number}.zip", number + 1
    return path


@contextmanager
def telling(path: Path) -> Iterator[None]:
    """Turn faults of the disk and of SQLite into errors of the bench book."""
    try:
        yield
    except OSError as error:
        raise disk_fault(path, error) from error
    except sqlite3.DatabaseError as error:
        fault = told_fault(path, error)
        if fault is None:
            raise
        raise fault from error
