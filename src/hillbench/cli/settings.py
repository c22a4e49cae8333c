"""What stands before the command on the command line."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import typer


@dataclass(frozen=True, slots=True)
class Settings:
    """Options that every command shares.

    Attributes
    ----------
    data_folder
        Folder named by ``--data``; None where the usual one is meant.
    """

    data_folder: Path | None = None


def settings_of(context: typer.Context) -> Settings:
    """Return the shared options that the running command was called with."""
    settings = context.find_object(Settings)
    return settings if settings is not None else Settings()
