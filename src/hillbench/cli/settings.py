"""What stands before the command on the command line."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from hillbench.records.bench_book import BenchBook


@dataclass(frozen=True, slots=True)
class Settings:
    """Options that every command shares.

    Attributes
    ----------
    data_folder
        Folder named by ``--data``; None where the usual one is meant.
    database
        Address named by ``--database``; None where HILLBENCH_DATABASE or a file is meant.
    """

    data_folder: Path | None = None
    database: str | None = None


def settings_of(context: typer.Context) -> Settings:
    """Return the shared options that the running command was called with."""
    settings = context.find_object(Settings)
    return settings if settings is not None else Settings()


def open_bench(context: typer.Context) -> BenchBook:
    """Open the bench book that the running command was called with."""
    from hillbench.records.bench_book import BenchBook
    from hillbench.records.data_folder import data_folder, database_address

    settings = settings_of(context)
    folder = data_folder(settings.data_folder, os.environ)
    address = database_address(settings.database, os.environ)
    return BenchBook.open_on_server(folder, address) if address else BenchBook.open(folder)
