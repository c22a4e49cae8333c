"""`hillbench export`: the bench in a documented form."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from hillbench.cli.settings import open_bench


def export(
    context: typer.Context,
    file: Annotated[
        Path | None,
        typer.Argument(metavar="[FILE.zip]", help="Where to; a name with the date by default."),
    ] = None,
) -> None:
    """Write the bench as JSON and photos in one zip, to be imported or read by other programs."""
    from datetime import UTC, datetime

    from hillbench.cli.written import tell_written
    from hillbench.usecases.back_up_bench import free_name
    from hillbench.usecases.export_bench import export_bench

    now = datetime.now(UTC)
    path = file or free_name(Path.cwd(), "export", now.astimezone())
    with open_bench(context) as book:
        tell_written("Export", export_bench(book, path, now))
