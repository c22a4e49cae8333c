"""Where the bench book lives on this computer."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

import platformdirs

VARIABLE: Final = "HILLBENCH_DATA"
DATABASE_VARIABLE: Final = "HILLBENCH_DATABASE"


def data_folder(asked: Path | None, environment: Mapping[str, str]) -> Path:
    """Return the folder of the bench book: the one asked for, else HILLBENCH_DATA, else the usual.

    Parameters
    ----------
    asked
        From ``--data``; None where it was not given.
    environment
        The environment variables, passed in so that this is a plain function.
    """
    if asked is not None:
        return asked.expanduser().absolute()
    from_environment = environment.get(VARIABLE, "").strip()
    if from_environment:
        return Path(from_environment).expanduser().absolute()
    return platformdirs.user_data_path("hillbench", appauthor=False)


def database_address(asked: str | None, environment: Mapping[str, str]) -> str | None:
    """Return the address of the database: the one asked for, else HILLBENCH_DATABASE, else none.

    Parameters
    ----------
    asked
        From ``--database``; None where it was not given.
    environment
        The environment variables, passed in so that this is a plain function.
    """
    return asked or environment.get(DATABASE_VARIABLE, "").strip() or None


def demo_folder(folder: Path) -> Path:
    """Return the folder of the invented bench, which never mixes with the builder's own."""
    return folder / "demo"
