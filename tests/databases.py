"""Both databases that a bench book may be kept in: a file, and a PostgreSQL server.

A module whose tests hold on both says ``pytestmark = ON_BOTH``, a test ``@on_both``. The server is
the one that is installed on this computer, run on a folder of its own; without it those tests are
skipped.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Final, TypeVar

import pytest

from hillbench.records.bench_book import BenchBook

ON_BOTH: Final = [
    pytest.mark.parametrize("database", ["file", "server"], indirect=True),
    pytest.mark.usefixtures("database"),
]
TestT = TypeVar("TestT", bound=Callable[..., None])


def on_both(test: TestT) -> TestT:
    """Run one test on both."""
    for mark in ON_BOTH:
        test = mark(test)
    return test


_OWNER: Final = "postgres"
"""PostgreSQL does not run for the superuser of the system; this user of it stands in then."""


class Server:
    """A PostgreSQL server on a folder of its own, reached through a socket in it."""

    def __init__(self, programs: Path, folder: Path) -> None:
        self._programs = programs
        self._folder = folder
        self._made = 0
        self._spare: list[str] = []

    def start(self) -> None:
        data = self._folder / "data"
        self._run("initdb", "-D", str(data), "-A", "trust", "-U", "club", "--no-sync", "-E", "UTF8")
        settings = f"-c listen_addresses= -c unix_socket_directories={self._folder} -c fsync=off"
        self._run("pg_ctl", "-D", str(data), "-o", settings, "-w", "-s", "-l", os.devnull, "start")

    def stop(self) -> None:
        self._run("pg_ctl", "-D", str(self._folder / "data"), "-m", "immediate", "-s", "stop")

    def address(self, database: str) -> str:
        return f"postgresql://club@/{database}?host={self._folder}"

    def new_database(self) -> str:
        """Make an empty database and return its address."""
        import psycopg

        self._made += 1
        name = f"bench_{self._made}"
        with psycopg.connect(self.address("postgres"), autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name}".encode())
        return self.address(name)

    @contextmanager
    def empty_bench(self) -> Iterator[str]:
        """Give a database with the tables of an empty bench book; emptied and used again after."""
        address = self._spare.pop() if self._spare else self.new_database()
        try:
            yield address
        finally:
            self._empty(address)
            self._spare.append(address)

    def _empty(self, address: str) -> None:
        import psycopg

        query = (
            "SELECT format('%I', tablename) FROM pg_tables "
            "WHERE schemaname = 'public' AND tablename <> 'alembic_version'"
        )
        with psycopg.connect(address) as connection:
            connection.execute("SET lock_timeout = '20s'")
            tables = ", ".join(name for (name,) in connection.execute(query))
            if tables:
                connection.execute(f"TRUNCATE {tables} RESTART IDENTITY".encode())

    def _run(self, program: str, *arguments: str) -> None:
        user = _OWNER if _is_superuser() else None
        subprocess.run(
            [str(self._programs / program), *arguments],
            check=True, user=user, cwd=self._folder, stdout=subprocess.DEVNULL, timeout=60,
        )  # fmt: skip


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A running PostgreSQL server."""
    programs = _find_programs()
    if programs is None:
        pytest.skip("no PostgreSQL server is installed on this computer")
    # Sockets need a short path, and the user of the server must reach it.
    folder = Path(tempfile.mkdtemp(prefix="hb-pg-"))
    try:
        if _is_superuser():
            shutil.chown(folder, _OWNER)
        running = Server(programs, folder)
        running.start()
        yield running
        running.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def database(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """Keep every bench book that is opened in a file, or each on the server; says where."""
    place: str = request.param
    if place == "file":
        yield place
        return
    running: Server = request.getfixturevalue("server")
    addresses: dict[Path, str] = {}
    with ExitStack() as lent:

        def open_there(cls: type[BenchBook], folder: Path) -> BenchBook:
            if folder not in addresses:
                addresses[folder] = lent.enter_context(running.empty_bench())
            return cls.open_on_server(folder, addresses[folder])

        monkeypatch.setattr(BenchBook, "open", classmethod(open_there))
        yield place


def _find_programs() -> Path | None:
    found = shutil.which("initdb")
    folders = [Path(found).resolve().parent] if found else []
    folders += sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    return next((folder for folder in folders if (folder / "initdb").is_file()), None)


def _is_superuser() -> bool:
    return hasattr(os, "geteuid") and os.geteuid() == 0
