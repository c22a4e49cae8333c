"""`hillbench print`: sheets of a build or a meet and labels of the drawer, as files."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from hillbench.cli.settings import open_bench


def print_(
    context: typer.Context,
    what: Annotated[
        str,
        typer.Argument(
            help="build-sheet, bench-card, share-card, labels, heat-sheet, results or certificates."
        ),
    ],
    number: Annotated[
        list[int] | None,
        typer.Argument(metavar="[NUMBER]...", help="The build, the meet, or items of the drawer."),
    ] = None,
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE", help="Ends in .pdf, .svg, or .png to share.")
    ] = Path("sheet.pdf"),
    paper: Annotated[str, typer.Option(help="A4, Letter, or label for a label printer.")] = "A4",
    page: Annotated[int, typer.Option(help="Page that an SVG holds.")] = 1,
    address: Annotated[
        str, typer.Option(metavar="URL", help="Where phones reach the app, for the codes.")
    ] = "",
) -> None:
    """Print sheets of a build or a meet, a card to share, or labels, true to scale."""
    from datetime import UTC, datetime

    from hillbench.records.atomic_file import write_atomically
    from hillbench.usecases.print_file import PrintQuestion, print_file

    question = PrintQuestion(what, tuple(number or ()), out.suffix.lower(), paper, page, address)
    with open_bench(context) as book:
        content = print_file(book, question, datetime.now(UTC))
    write_atomically(out, content)
    typer.echo(f"Printed to {out}.")
