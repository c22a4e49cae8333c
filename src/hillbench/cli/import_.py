"""`hillbench import`: an exported bench into an empty bench book."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from hillbench.cli.settings import open_bench


def import_(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(metavar="FILE.zip", help="A file made by export.")],
) -> None:
    """Take over an exported bench; all of it or nothing, and only into an empty bench book."""
    from hillbench.usecases.import_bench import import_bench

    with open_bench(context) as book:
        taken = import_bench(book, file)
        typer.echo(
            f"Imported into {book.folder}: {taken.car_count} cars, {taken.track_count} tracks, "
            f"{taken.run_count} runs, {taken.photo_count} photos."
        )
