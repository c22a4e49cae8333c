"""`hillbench gain`: what a change on one car gained, from a table of times."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from hillbench.usecases.gain_file import GainAnswer


def gain(
    file: Annotated[Path, typer.Argument(metavar="FILE.csv", help="The runs; - reads the pipe.")],
    before: Annotated[str, typer.Option("--before", metavar="CAR", help="Without the change.")],
    after: Annotated[str, typer.Option("--after", metavar="CAR", help="With the change.")],
    matters: Annotated[
        float | None,
        typer.Option("--matters", metavar="SECONDS", help="Gain below which nobody cares."),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
    plot: Annotated[
        Path | None, typer.Option("--plot", metavar="OUT.svg", help="Draw the runs as well.")
    ] = None,
) -> int:
    """Say what a change gained, told apart from wear-in and drift as far as the order allows.

    One row a run, in the order run. Runs of other cars in the table serve as the control.
    """
    import dataclasses
    import json

    from hillbench.cli.table_rows import status_of
    from hillbench.cli.text_files import read_bytes, write_text
    from hillbench.usecases.compare_file import read_table
    from hillbench.usecases.gain_file import answer_of, gain_of

    reading = read_table(read_bytes(file))
    measured = gain_of(reading, before, after, matters)
    answer = answer_of(measured, reading, before, after)
    if plot is not None:
        from hillbench.pictures.timing import gain_of_change

        picture = gain_of_change(
            measured, reading.runs, (before, after), answer.sentence, standalone=True
        )
        write_text(plot, picture)
    if as_json:
        typer.echo(json.dumps(dataclasses.asdict(answer), allow_nan=False))
        return status_of(reading)
    typer.echo(answer.sentence)
    for line in _lines(answer):
        typer.echo(line)
    if plot is not None:
        typer.echo(f"Drawn in {plot}.")
    return status_of(reading)


def _lines(answer: GainAnswer) -> list[str]:
    layouts = {
        "swap": "swapped back and forth, wear-in taken out",
        "control": f"beside {answer.runs_control} runs of unchanged cars",
        "plain": "all before, then all after",
    }
    lines = [
        f"{answer.before} {answer.runs_before} runs, {answer.after} {answer.runs_after} runs,"
        f" {layouts[answer.layout]}"
    ]
    lines += [f"row {run.row}, {run.car} {run.time_s:.3f} s: {run.why}" for run in answer.odd_runs]
    lines.append(f"one run spreads by {answer.spread_s:.3f} s (prior: {answer.spread_prior})")
    return lines
