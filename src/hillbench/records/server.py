"""A bench book on a PostgreSQL server, for a league that hosts many clubs."""

from __future__ import annotations

from importlib.util import find_spec
from typing import Final

from sqlalchemy import URL, Connection, Engine, create_engine, event, inspect, make_url
from sqlalchemy.exc import ArgumentError

from hillbench.errors import InvalidInput, Problem
from hillbench.records.engine import BEGIN, BUSY_TIMEOUT_MS
from hillbench.records.errors import NewerBenchBook, NotABenchBook
from hillbench.records.schema import APPLICATION_ID, SCHEMAS

_ALLOWED: Final = "postgresql://NAME@HOST/DATABASE"


def read_address(text: str) -> URL:
    """Return the address of a database on a server.

    Parameters
    ----------
    text
        As in ``postgresql://club@localhost/hillbench``.

    Raises
    ------
    InvalidInput
        If it is no such address, or the driver is not installed.
    """
    try:
        address = make_url(text)
    except ArgumentError:
        raise InvalidInput(
            [Problem("database", repr(text[:200]), _ALLOWED, "correct it")]
        ) from None
    if address.drivername not in ("postgresql", "postgresql+psycopg") or not address.database:
        shown = address.render_as_string(hide_password=True)
        raise InvalidInput([Problem("database", repr(shown), _ALLOWED, "correct it")])
    if find_spec("psycopg") is None:
        needed = Problem(
            "database",
            "PostgreSQL, whose driver is not installed",
            "a folder with --data",
            'install it with: pip install "hillbench[league]"',
        )
        raise InvalidInput([needed])
    return address.set(drivername="postgresql+psycopg")


def shown_address(address: URL) -> str:
    """Return an address as it may be shown, without its password."""
    return address.set(drivername="postgresql").render_as_string(hide_password=True)


def make_server_engine(address: URL) -> Engine:
    """Return an engine for a database on a server.

    Notes
    -----
    Every session sees one moment throughout (REPEATABLE READ). Whoever writes holds a lock
    that only one can hold, taken before the first query and so before that moment is chosen
    (PostgreSQL documentation, "LOCK", notes); readers are not held up by it.
    """
    engine = create_engine(
        address, isolation_level="REPEATABLE READ", pool_size=10, max_overflow=30,
        pool_pre_ping=True,
    )  # fmt: skip

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        if connection.get_execution_options().get(BEGIN) == "IMMEDIATE":
            connection.exec_driver_sql(f"SET LOCAL lock_timeout = {BUSY_TIMEOUT_MS}")
            connection.exec_driver_sql("LOCK TABLE about IN EXCLUSIVE MODE")

    return engine


def upgrade_server(address: URL) -> None:
    """Make or upgrade the tables of a database on a server, in one transaction.

    Raises
    ------
    NotABenchBook
        If the database holds tables of another program.
    NewerBenchBook
        If this program does not know the schema.
    """
    engine = create_engine(address)
    try:
        with engine.begin() as connection:
            # Of several processes that start at once, one makes the tables and the rest wait.
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({APPLICATION_ID})")
            if _schema_of(connection, shown_address(address)) != SCHEMAS[-1]:
                from hillbench.records.upgrade import migrate

                migrate(connection)
    finally:
        engine.dispose()


def _schema_of(connection: Connection, shown: str) -> str | None:
    tables = set(inspect(connection).get_table_names())
    if not tables:
        return None
    if not {"alembic_version", "about"} <= tables:
        remedy = "make an empty database for Hillbench"
        raise NotABenchBook(shown, "a database of another program", remedy)
    found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    if found not in SCHEMAS:
        raise NewerBenchBook(shown, str(found))
    return str(found)
