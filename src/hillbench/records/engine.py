"""The SQLite engine: how connections are set up and transactions begin."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Final

from sqlalchemy import URL, Connection, Engine, create_engine, event

BEGIN: Final = "hillbench_begin"
"""Execution option that says how transactions begin: DEFERRED to read, IMMEDIATE to write."""

BUSY_TIMEOUT_MS: Final = 10_000
"""How long a write waits for another one, ms."""


def make_engine(database: Path, *, read_only: bool = False, foreign_keys: bool = True) -> Engine:
    """Return an engine for a database file.

    Parameters
    ----------
    database
        The file; it is made where it is missing, unless `read_only`.
    read_only
        Open without writing anything, not even beside the file.
    foreign_keys
        Whether references are enforced; migrations switch this off, as SQLite asks.

    Notes
    -----
    Write-ahead log with full synchronisation: a commit that returned survives a crash of the
    program and of the machine. Every write transaction begins IMMEDIATE, since a deferred one
    that turns into a write fails at once, without waiting, when another one got in between
    (SQLite documentation, "Transaction", section 2.2).
    """
    engine = create_engine(_address(database, read_only=read_only), pool_size=10, max_overflow=30)

    @event.listens_for(engine, "connect")
    def set_up(connection: sqlite3.Connection, _record: object) -> None:
        connection.isolation_level = None  # transactions begin below, not in the driver
        connection.execute(f"PRAGMA busy_timeout = {BUSY_TIMEOUT_MS}")
        connection.execute(f"PRAGMA foreign_keys = {'ON' if foreign_keys else 'OFF'}")
        if not read_only:
            connection.execute("PRAGMA journal_mode = WAL")
            connection.execute("PRAGMA synchronous = FULL")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        mode = connection.get_execution_options().get(BEGIN, "DEFERRED")
        connection.exec_driver_sql(f"BEGIN {mode}")

    return engine


def _address(database: Path, *, read_only: bool) -> URL:
    if not read_only:
        return URL.create("sqlite", database=str(database))
    query = {"mode": "ro", "uri": "true"}
    if not _has_live_log(database):
        query["immutable"] = "1"  # the log files of WAL cannot be made in a locked folder
    return URL.create("sqlite", database=database.absolute().as_uri(), query=query)


def _has_live_log(database: Path) -> bool:
    return database.with_name(f"{database.name}-wal").exists()
