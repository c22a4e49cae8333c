"""How a command tells of a file it wrote."""

from __future__ import annotations

import typer

from hillbench.usecases.back_up_bench import WrittenFile


def tell_written(word: str, written: WrittenFile) -> None:
    """Print where the file is and what is in it."""
    typer.echo(f"{word} written to {written.path} ({written.photo_count} photos).")
    if written.missing_photo_count:
        typer.echo(f"{written.missing_photo_count} photo files are lost and not in it.", err=True)
