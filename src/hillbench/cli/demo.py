"""`hillbench demo`: the app on an invented bench."""

from __future__ import annotations

import os
from typing import Annotated

import typer

from hillbench.cli.serve import NoBrowser, Port
from hillbench.cli.settings import settings_of


def demo(
    context: typer.Context,
    port: Port = 8064,
    no_browser: NoBrowser = False,
    reset: Annotated[
        bool, typer.Option("--reset", help="Make the demo bench anew; the old one is kept aside.")
    ] = False,
    seed: Annotated[int, typer.Option("--seed", help="Seed of the invented runs.")] = 64,
    fill_only: Annotated[
        bool, typer.Option("--fill-only", help="Make the demo bench and do not serve it.")
    ] = False,
) -> None:
    """Open the app on an invented demo bench; your own is not touched."""
    from datetime import UTC, datetime

    from hillbench.cli.bench_app import serve_bench
    from hillbench.demo.open_demo import open_demo
    from hillbench.records.data_folder import data_folder, demo_folder

    folder = data_folder(settings_of(context).data_folder, os.environ)
    if reset or not demo_folder(folder).exists():
        typer.echo("Inventing the demo bench; this takes a few seconds, once.")
    opened = open_demo(folder, seed=seed, now=datetime.now(UTC), reset=reset)
    if opened.set_aside is not None:
        typer.echo(f"The demo bench as it was is kept in {opened.set_aside}.")
    opened.book.close()
    if fill_only:
        typer.echo(f"The demo bench is in {opened.book.folder}.")
        return
    serve_bench(folder, demo=True, port=port, browser=not no_browser, local_network=False)
