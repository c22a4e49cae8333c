"""`hillbench advise`: what would help a car, from measured runs in a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from hillbench.usecases.advise_file import AdviceAnswer

_TELLS_LITTLE = 0.81
"""Variance left, over that now, above which a reading tells little."""


def advise(
    file: Annotated[
        Path, typer.Argument(metavar="FILE.json", help="Track, cars, runs; - reads the pipe.")
    ],
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
    plot: Annotated[
        Path | None, typer.Option("--plot", metavar="OUT.svg", help="Draw the gains as well.")
    ] = None,
) -> None:
    """Say what would help a car most, how sure that is, and what to measure next."""
    import dataclasses
    import json

    from hillbench.cli.text_files import read_text, write_text
    from hillbench.usecases.advise_file import advice_answer, read_advice_question, run_advice

    advised = run_advice(read_advice_question(read_text(file)))
    answer = advice_answer(advised)
    if plot is not None:
        from hillbench.usecases.fit_pictures import advice_sheet

        write_text(plot, advice_sheet(advised, answer.sentence))
    if as_json:
        typer.echo(json.dumps(dataclasses.asdict(answer), allow_nan=False))
        return
    typer.echo(answer.sentence)
    for line in _lines(answer):
        typer.echo(line)
    if plot is not None:
        typer.echo(f"Drawn in {plot}.")


def _lines(answer: AdviceAnswer) -> list[str]:
    lines = [f"typical time as it is {answer.time_s:.3f} s"] if answer.time_s else []
    lines += [
        f"{number}. {one.verdict}: {one.sentence}"
        for number, one in enumerate(answer.advice, start=1)
    ]
    if answer.readings:
        lines.append(f"to know better what this gains: {answer.readings_about}")
        if answer.readings[0].share_left > _TELLS_LITTLE:
            lines.append("  no single reading tells much of it: try it and time it")
        lines += [
            f"  {one.share_left**0.5:4.0%} of the doubt left by {one.name}, {one.minutes:g} minutes"
            for one in answer.readings[:6]
        ]
    return lines + [f"  {note}" for note in answer.notes]
