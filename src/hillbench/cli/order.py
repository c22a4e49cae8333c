"""`hillbench order`: in which order to run cars."""

from __future__ import annotations

from typing import Annotated

import typer


def order(
    cars: Annotated[list[str], typer.Argument(metavar="CAR...", help="Names of the cars.")],
    runs: Annotated[int, typer.Option("--runs", help="Runs of each car.")] = 4,
    lanes: Annotated[int, typer.Option("--lanes", help="Lanes of the track.")] = 1,
    together: Annotated[
        bool, typer.Option("--together", help="Cars start side by side on the lanes.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Give the order in which to run cars, so that drift and lanes do not favour one."""
    import dataclasses
    import json

    from hillbench.usecases.order_file import order_cars

    answer = order_cars(cars, runs, lanes, together=together)
    if as_json:
        typer.echo(json.dumps(dataclasses.asdict(answer), allow_nan=False))
        return
    typer.echo(answer.sentence)
