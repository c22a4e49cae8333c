"""`hillbench roll`: how a car steers, and which axle does it, from rolls over a floor."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def roll(
    file: Annotated[
        Path, typer.Argument(metavar="FILE.json", help="Wheelbase and rolls; - reads the pipe.")
    ],
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
    plot: Annotated[
        Path | None, typer.Option("--plot", metavar="OUT.svg", help="Draw the rolls as well.")
    ] = None,
) -> None:
    """Tell from rolls over a flat floor how a car steers and which axle is out of square."""
    import dataclasses
    import json

    from hillbench.cli.text_files import read_text, write_text
    from hillbench.pictures.scale import figure
    from hillbench.usecases.roll_file import answer_rolls, read_roll_question

    question = read_roll_question(read_text(file))
    answer = answer_rolls(question)
    if plot is not None:
        from hillbench.pictures.roll_test import RollDot, roll_test_picture

        dots = [
            RollDot(one.length_m, one.drift_mm, one.tail_first, one.back) for one in question.rolls
        ]
        drawn = roll_test_picture(dots, answer.curvature_1_m, answer.sentence, standalone=True)
        write_text(plot, drawn)
    if as_json:
        typer.echo(json.dumps(dataclasses.asdict(answer), allow_nan=False))
        return
    typer.echo(answer.sentence)
    for name, angle_deg, spread_deg, chance in (
        ("front", answer.front_deg, answer.front_uncertainty_deg, answer.probability_front),
        ("rear", answer.rear_deg, answer.rear_uncertainty_deg, answer.probability_rear),
    ):
        told = f"{figure(angle_deg, 3)}° ± {spread_deg:.3f}°"
        typer.echo(f"  {name} axle {told}; it alone makes most of the steer: {chance:.0%}")
    typer.echo(f"  {answer.scrub_sentence}")
    if plot is not None:
        typer.echo(f"Drawn in {plot}.")
