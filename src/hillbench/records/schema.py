"""Which schema a database file has, found without loading the migrations."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Final

from hillbench.records.errors import BenchBookError, DamagedBenchBook, NewerBenchBook, NotABenchBook

APPLICATION_ID: Final = 0x48424342
"""Marks the file as ours in the header that SQLite keeps for it ("HBCB")."""

SCHEMAS: Final = ("0001", "0002", "0003", "0004")
"""Every released schema, oldest first; the last one is the program's own."""

_NEEDS_REMEDY: Final = "move it away or choose another folder with --data"


def schema_of(database: Path, *, immutable: bool = False) -> str | None:
    """Return the schema of a database file, None for a new or empty one.

    Raises
    ------
    NotABenchBook
        If the file is no database, or a database of another program.
    NewerBenchBook
        If this program does not know the schema.
    """
    if not database.exists() or (database.is_file() and database.stat().st_size == 0):
        return None
    if not database.is_file():
        raise NotABenchBook(database, "no file", _NEEDS_REMEDY)
    try:
        application, schema, tables = _read_header(database, immutable)
    except sqlite3.DatabaseError as error:
        raise _told(database, error) from error
    if not application and not tables:
        return None  # another process is about to make it
    if application != APPLICATION_ID or schema is None:
        raise NotABenchBook(database, "a database of another program", _NEEDS_REMEDY)
    if schema not in SCHEMAS:
        raise NewerBenchBook(database, schema)
    return schema


def _read_header(database: Path, immutable: bool) -> tuple[int, str | None, int]:
    address = f"{database.absolute().as_uri()}?mode=ro{'&immutable=1' if immutable else ''}"
    connection = sqlite3.connect(address, uri=True, timeout=10.0)
    try:
        connection.execute("BEGIN")  # all of it as it was at one moment
        tables = {row[0] for row in connection.execute("SELECT name FROM sqlite_master")}
        application = connection.execute("PRAGMA application_id").fetchone()[0]
        if "alembic_version" not in tables:
            return application, None, len(tables)
        row = connection.execute("SELECT version_num FROM alembic_version").fetchone()
        return application, None if row is None else str(row[0]), len(tables)
    finally:
        connection.close()


def _told(database: Path, error: sqlite3.DatabaseError) -> BenchBookError:
    if "not a database" in str(error):
        return NotABenchBook(database, "no database file", _NEEDS_REMEDY)
    return DamagedBenchBook(database)
