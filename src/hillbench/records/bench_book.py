"""The bench book as a folder, or on a server: opening it, and the ways to read and write it."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final, Self

from sqlalchemy import Engine
from sqlalchemy.exc import DatabaseError, DBAPIError
from sqlalchemy.orm import Session

from hillbench.records.engine import BEGIN, make_engine
from hillbench.records.errors import BenchBookError, NotABenchBook, ReadOnlyBenchBook
from hillbench.records.faults import disk_fault, told_fault, told_server_fault
from hillbench.records.schema import SCHEMAS, schema_of

DATABASE_NAME: Final = "bench.db"
PHOTO_FOLDER_NAME: Final = "photos"


class BenchBook:
    """An open bench book. Threads and processes may share one folder.

    Attributes
    ----------
    folder
        Data folder; photos are here also where the records are on a server.
    read_only
        Whether nothing can be written there.
    server
        Address of the database on a server, without its password; None where it is a file of
        the folder.
    """

    def __init__(
        self, folder: Path, engine: Engine, *, read_only: bool, server: str | None = None
    ) -> None:
        self.folder = folder
        self.read_only = read_only
        self.server = server
        self._engine = engine
        self._writing = engine.execution_options(**{BEGIN: "IMMEDIATE"})

    @classmethod
    def open(cls, folder: Path) -> Self:
        """Open the bench book in a folder; make both where there is nothing yet.

        Raises
        ------
        BenchBookError
            If the folder or its database is something else, of a newer program, or cannot
            be made. Nothing is changed then.
        """
        database = folder / DATABASE_NAME
        writable = _prepare_folder(folder)
        schema = schema_of(database, immutable=not writable)
        read_only = not writable or (schema is not None and not os.access(database, os.W_OK))
        if schema != SCHEMAS[-1]:
            if read_only:
                raise ReadOnlyBenchBook(database)
            _upgrade(database)
        return cls(folder, make_engine(database, read_only=read_only), read_only=read_only)

    @classmethod
    def open_on_server(cls, folder: Path, address: str) -> Self:
        """Open the bench book whose records are on a PostgreSQL server; make it where it is new.

        Parameters
        ----------
        folder
            For photos; several processes that serve one bench book share it.
        address
            As in ``postgresql://club@localhost/hillbench``.

        Raises
        ------
        InvalidInput
            If the address is none.
        BenchBookError
            If the server does not answer, or the database is of another program.
        """
        from hillbench.records import server

        url = server.read_address(address)
        shown = server.shown_address(url)
        read_only = not _prepare_folder(folder)
        try:
            server.upgrade_server(url)
        except DBAPIError as error:
            raise told_server_fault(shown, error) or error from error
        engine = server.make_server_engine(url)
        return cls(folder, engine, read_only=read_only, server=shown)

    @property
    def database(self) -> Path | str:
        """The database file, or the address of the database on its server."""
        return self.server or self.folder / DATABASE_NAME

    @property
    def photo_folder(self) -> Path:
        """The folder of the photo files."""
        return self.folder / PHOTO_FOLDER_NAME

    @contextmanager
    def read(self) -> Iterator[Session]:
        """Give a session that sees one moment of the bench book throughout."""
        with self._told(), Session(self._engine, autoflush=False) as session:
            yield session

    @contextmanager
    def write(self) -> Iterator[Session]:
        """Give a session that is the only one writing; all of it is kept, or nothing.

        Raises
        ------
        ReadOnlyBenchBook, DiskFull, BusyBenchBook
            If it cannot be kept.
        """
        if self.read_only:
            raise ReadOnlyBenchBook(self.database)
        with self._told(), Session(self._writing) as session, session.begin():
            yield session

    def close(self) -> None:
        """Let go of the database file."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exception: object) -> None:
        self.close()

    @contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except DatabaseError as error:
            fault = self._fault(error)
            if fault is None:
                raise
            raise fault from error

    def _fault(self, error: DatabaseError) -> BenchBookError | None:
        if self.server is not None:
            return told_server_fault(self.server, error)
        return told_fault(self.folder / DATABASE_NAME, error.orig)


def _prepare_folder(folder: Path) -> bool:
    """Make the folder if need be and return whether files can be written there."""
    if folder.exists() and not folder.is_dir():
        raise NotABenchBook(folder, "a file", "choose a folder with --data")
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise disk_fault(folder, error) from error
    return os.access(folder, os.W_OK | os.X_OK)


def _upgrade(database: Path) -> None:
    from hillbench.records.upgrade import upgrade  # loads Alembic, which most starts do not need

    upgrade(database)
