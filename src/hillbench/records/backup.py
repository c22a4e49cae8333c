"""A copy of the whole bench book in one zip, consistent also while others write."""

from __future__ import annotations

import sqlite3
import tempfile
import zipfile
from pathlib import Path
from typing import Final

from hillbench.records.bench_book import DATABASE_NAME, PHOTO_FOLDER_NAME, BenchBook
from hillbench.records.bench_rows import copy_rows
from hillbench.records.photo_files import COPY_SIZES_PX, photo_path

_HOW_TO_RESTORE: Final = """\
This is a backup of a Hillbench bench book.

To use it, unzip it into an empty folder and start Hillbench with that folder:

    hillbench --data FOLDER serve
"""


def write_backup(book: BenchBook, path: Path) -> tuple[int, int]:
    """Write the backup and return how many photos it holds, and how many files were missing."""
    with tempfile.TemporaryDirectory(prefix=".new-backup-", dir=path.parent) as folder:
        database = Path(folder) / DATABASE_NAME
        if isinstance(book.database, Path):
            _copy_database(book.database, database)
        else:
            _copy_records(book, Path(folder))
        checksums = _photo_checksums(database)
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("README.txt", _HOW_TO_RESTORE)
            archive.write(database, DATABASE_NAME)
            found = sum(_add_photo(archive, book.photo_folder, sha256) for sha256 in checksums)
    return found, len(checksums) - found


def _copy_database(source: Path, target: Path) -> None:
    """Copy the database as it is at one moment.

    Notes
    -----
    SQLite documentation, "SQLite Online Backup API": the copy is a snapshot, and writers in
    WAL mode are not held up.
    """
    reading = sqlite3.connect(f"{source.absolute().as_uri()}?mode=ro", uri=True, timeout=10.0)
    writing = sqlite3.connect(target)
    try:
        reading.backup(writing)
    finally:
        writing.close()
        reading.close()


def _copy_records(book: BenchBook, folder: Path) -> None:
    """Copy the records from a server into a database file, so that a backup is always one."""
    with BenchBook.open(folder) as copy, book.read() as reading, copy.write() as writing:
        copy_rows(reading, writing)


def _photo_checksums(database: Path) -> list[str]:
    connection = sqlite3.connect(database)
    try:
        connection.execute("PRAGMA journal_mode = DELETE")
        query = "SELECT sha256 FROM photo UNION SELECT sha256 FROM scrutiny_photo ORDER BY sha256"
        return [sha256 for (sha256,) in connection.execute(query)]
    finally:
        connection.close()


def _add_photo(archive: zipfile.ZipFile, folder: Path, sha256: str) -> bool:
    for size in (None, *COPY_SIZES_PX):
        file = photo_path(folder, sha256, size)
        if not file.is_file():
            return False
        name = f"{PHOTO_FOLDER_NAME}/{file.relative_to(folder).as_posix()}"
        archive.write(file, name, zipfile.ZIP_STORED)
    return True
