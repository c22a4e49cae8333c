"""`hillbench backup`: a copy of the bench book in one file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from hillbench.cli.settings import open_bench


def backup(
    context: typer.Context,
    file: Annotated[
        Path | None,
        typer.Argument(metavar="[FILE.zip]", help="Where to; a name with the date by default."),
    ] = None,
) -> None:
    """Copy the whole bench book, photos included, into one zip; never overwrites a file."""
    from datetime import datetime

    from hillbench.cli.written import tell_written
    from hillbench.usecases.back_up_bench import back_up_bench, free_name

    path = file or free_name(Path.cwd(), "backup", datetime.now().astimezone())
    with open_bench(context) as book:
        tell_written("Backup", back_up_bench(book, path))
