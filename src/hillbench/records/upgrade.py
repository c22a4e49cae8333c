"""Bring a database file to the newest schema. Loads Alembic; imported only when needed."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection
from sqlalchemy.exc import DatabaseError

from hillbench.records.engine import BEGIN, make_engine
from hillbench.records.errors import DamagedBenchBook
from hillbench.records.faults import told_fault


def migration_config() -> Config:
    """Return the settings of the packaged migrations."""
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    config.set_main_option("path_separator", "os")
    return config


def migrate(connection: Connection) -> None:
    """Run what is missing of the migrations on an open connection."""
    config = migration_config()
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def upgrade(database: Path) -> None:
    """Make the database or upgrade it, in one transaction: it is new afterwards, or as before.

    Parameters
    ----------
    database
        The file; missing or empty for a new bench book.

    Raises
    ------
    BenchBookError
        If it cannot be written.
    """
    engine = make_engine(database, foreign_keys=False)
    try:
        with engine.execution_options(**{BEGIN: "IMMEDIATE"}).begin() as connection:
            migrate(connection)
            if connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
                raise DamagedBenchBook(database)
    except DatabaseError as error:
        fault = told_fault(database, error.orig)
        if fault is None:
            raise
        raise fault from error
    finally:
        engine.dispose()
