"""`hillbench serve`: the app on one's own bench."""

from __future__ import annotations

import os
from typing import Annotated

import typer

from hillbench.cli.settings import settings_of

Port = Annotated[int, typer.Option("--port", min=1, max=65535, help="The next free one if taken.")]
NoBrowser = Annotated[bool, typer.Option("--no-browser", help="Do not open a browser.")]


def serve(
    context: typer.Context,
    port: Port = 8064,
    no_browser: NoBrowser = False,
    local_network: Annotated[
        bool,
        typer.Option(
            "--local-network",
            help="Let other devices of this network in, such as a phone beside the track.",
        ),
    ] = False,
    name: Annotated[
        list[str] | None,
        typer.Option(
            "--name",
            metavar="HOST",
            help="Name under which a proxy passes requests on, as race.example; may be repeated.",
        ),
    ] = None,
) -> None:
    """Open the app on your own bench."""
    from hillbench.cli.bench_app import serve_bench
    from hillbench.records.data_folder import data_folder, database_address

    settings = settings_of(context)
    serve_bench(
        data_folder(settings.data_folder, os.environ),
        database=database_address(settings.database, os.environ),
        demo=False,
        port=port,
        browser=not no_browser,
        local_network=local_network,
        names=tuple(name or ()),
    )
