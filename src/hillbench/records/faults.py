"""Faults of the disk and the database, turned into sentences."""

from __future__ import annotations

import errno
import sqlite3
from pathlib import Path
from typing import Final

from sqlalchemy.exc import DBAPIError, OperationalError

from hillbench.records.errors import (
    BenchBookError,
    BusyBenchBook,
    DamagedBenchBook,
    DiskFull,
    NotABenchBook,
    ReadOnlyBenchBook,
    ServerAway,
)

_FULL: Final = frozenset({errno.ENOSPC, errno.EDQUOT})
_FORBIDDEN: Final = frozenset({errno.EACCES, errno.EPERM, errno.EROFS})


def told_fault(database: Path, error: BaseException | None) -> BenchBookError | None:
    """Return the error of the bench book for one of SQLite; None for a mistake of the program."""
    primary = getattr(error, "sqlite_errorcode", 0) & 0xFF
    match primary:
        case sqlite3.SQLITE_FULL:
            return DiskFull(database)
        case sqlite3.SQLITE_READONLY | sqlite3.SQLITE_PERM | sqlite3.SQLITE_CANTOPEN:
            return ReadOnlyBenchBook(database)
        case sqlite3.SQLITE_BUSY | sqlite3.SQLITE_LOCKED:
            return BusyBenchBook(database)
        case sqlite3.SQLITE_NOTADB:
            return NotABenchBook(database, "no database file", "put the last backup in its place")
        case sqlite3.SQLITE_CORRUPT | sqlite3.SQLITE_IOERR:
            return DamagedBenchBook(database)
        case _:
            return None


def told_server_fault(address: str, error: DBAPIError) -> BenchBookError | None:
    """Return the error of the bench book for one of PostgreSQL; None for a mistake of the program.

    Notes
    -----
    PostgreSQL documentation, appendix "PostgreSQL Error Codes".
    """
    state = getattr(error.orig, "sqlstate", None)
    if state is None:
        return ServerAway(address) if isinstance(error, OperationalError) else None
    if state in ("53100", "53200"):
        return DiskFull(address)
    if state in ("25006", "42501"):
        return ReadOnlyBenchBook(address)
    if state in ("55P03", "40001", "40P01"):
        return BusyBenchBook(address)
    if state[:2] in ("08", "28", "3D", "57"):
        return ServerAway(address)
    return None


def disk_fault(path: Path, error: OSError) -> BenchBookError:
    """Return the error of the bench book for one of the file system."""
    if error.errno in _FULL:
        return DiskFull(path)
    if error.errno in _FORBIDDEN:
        return ReadOnlyBenchBook(path)
    reason = (error.strerror or str(error)).lower()
    return BenchBookError(path, f"{path} cannot be used ({reason}): check the path and the disk.")
