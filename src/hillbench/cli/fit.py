"""`hillbench fit`: what a hill and its cars are made of, from measured runs in a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from hillbench.usecases.fit_file import FitAnswer


def fit(
    file: Annotated[
        Path, typer.Argument(metavar="FILE.json", help="Track, cars and runs; - reads the pipe.")
    ],
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
    plot: Annotated[
        Path | None, typer.Option("--plot", metavar="OUT.svg", help="Draw what is known as well.")
    ] = None,
) -> None:
    """Learn friction and drag of a track and its cars from measured runs."""
    import dataclasses
    import json

    from hillbench.cli.text_files import read_text, write_text
    from hillbench.usecases.fit_file import fit_answer, read_fit_question, run_fit

    found = run_fit(read_fit_question(read_text(file)))
    answer = fit_answer(found)
    if plot is not None:
        from hillbench.usecases.fit_pictures import fit_sheet

        write_text(plot, fit_sheet(found, answer.sentence))
    if as_json:
        typer.echo(json.dumps(dataclasses.asdict(answer), allow_nan=False))
        return
    typer.echo(answer.sentence)
    for line in _lines(answer):
        typer.echo(line)
    if plot is not None:
        typer.echo(f"Drawn in {plot}.")


def _lines(answer: FitAnswer) -> list[str]:
    from hillbench.usecases.tell_fit import UNKNOWN_WORDS

    lines = [f"  {note}" for note in answer.notes]
    lines.append("median and 90 % interval, after | before")
    for one in answer.unknowns:
        after = f"{one.median:9.4g} ({one.low:.3g} to {one.high:.3g})"
        before = f"{one.prior_median:.3g} ({one.prior_low:.3g} to {one.prior_high:.3g})"
        lines.append(
            f"{UNKNOWN_WORDS[one.name]:40s} {one.owner:24s} {after:30s} | {before:26s}"
            f" {one.unit:5s} {one.knowledge}"
        )
    lines += [
        f"measured less computed, {residual.group}: {residual.mean_s:+.4f} ±"
        f" {residual.error_s:.4f} s".replace("-", "−")
        for residual in (*answer.residuals_by_stretch, *answer.residuals_by_mass)
    ]
    return lines
