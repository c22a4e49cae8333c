"""`hillbench heats`: who runs when on which lane."""

from __future__ import annotations

from typing import Annotated

import typer


def heats(
    cars: Annotated[int, typer.Option("--cars", help="Number of cars, 1 to 200.")],
    lanes: Annotated[int, typer.Option("--lanes", help="Number of lanes, 1 to 8.")],
    rounds: Annotated[
        int, typer.Option("--rounds", help="Runs of each car on each lane, 1 to 12.")
    ] = 1,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Seed of the draw.")] = 64,
    meet_equally: Annotated[
        bool,
        typer.Option("--meet-equally", help="Equal meetings go before rest between runs."),
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Draw heats in which every car runs equally often on every lane."""
    import dataclasses
    import json

    from hillbench.usecases.draw_heats import draw_heats, tell_heats

    answer = draw_heats(cars, lanes, rounds, seed, meet_equally=meet_equally)
    if as_json:
        typer.echo(json.dumps(dataclasses.asdict(answer), allow_nan=False))
        return
    typer.echo(tell_heats(answer))
    typer.echo("heat  " + " ".join(f"lane {lane}" for lane in range(1, lanes + 1)))
    for number, heat in enumerate(answer.heats, start=1):
        typer.echo(f"{number:4d}  " + " ".join(f"{car or '-':>6}" for car in heat))
