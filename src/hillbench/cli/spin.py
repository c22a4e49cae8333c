"""`hillbench spin`: what spin-downs say, and whether another round of graphite is worth it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from hillbench.usecases.spin_file import SpinAnswer


def spin(
    file: Annotated[
        Path, typer.Argument(metavar="FILE.json", help="Spin-downs; - reads the pipe.")
    ],
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
    plot: Annotated[
        Path | None, typer.Option("--plot", metavar="OUT.svg", help="Draw each wheel as well.")
    ] = None,
) -> None:
    """Tell bearing friction from spin-downs, round by round, and whether to stop."""
    import dataclasses
    import json

    from hillbench.cli.text_files import read_text, write_text
    from hillbench.usecases.spin_file import judge_spin_file, read_spin_question, spin_answer

    judged = judge_spin_file(read_spin_question(read_text(file)))
    answer = spin_answer(judged)
    if plot is not None:
        from hillbench.pictures.spin_down import spin_down_picture
        from hillbench.usecases.spin_wheels import spin_wheels

        wheels = spin_wheels(judged)
        write_text(plot, spin_down_picture(wheels, answer.sentence, standalone=True))
    if as_json:
        typer.echo(json.dumps(dataclasses.asdict(answer), allow_nan=False))
        return
    typer.echo(answer.sentence)
    for line in _lines(answer):
        typer.echo(line)
    if plot is not None:
        typer.echo(f"Drawn in {plot}.")


def _lines(answer: SpinAnswer) -> list[str]:
    lines = [f"  {note}" for note in answer.notes]
    for wheel in answer.wheels:
        lines.append(wheel.wheel)
        lines += [
            f"  {point.round:20s} {point.bearing_friction:.3f} ± {point.standard_uncertainty:.3f}"
            f"   {point.low:.3f} to {point.high:.3f} beside the other rounds"
            for point in wheel.rounds
        ]
    return lines
