"""`hillbench coast`: what a run described in a file will take."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from hillbench.usecases.coast_file import CoastAnswer


def coast(
    file: Annotated[Path, typer.Argument(metavar="FILE.json", help="The run; - reads the pipe.")],
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
    plot: Annotated[
        Path | None, typer.Option("--plot", metavar="OUT.svg", help="Draw the run as well.")
    ] = None,
) -> None:
    """Compute what a run down the hill will take and where the time goes."""
    import dataclasses
    import json

    from hillbench.cli.text_files import read_text, write_text
    from hillbench.usecases.coast_file import answer_of, read_coast_question, run_question
    from hillbench.usecases.tell_run import tell_run

    question = read_coast_question(read_text(file))
    run = run_question(question)
    answer = answer_of(run)
    sentence = tell_run(run)
    if plot is not None:
        from hillbench.pictures.report import run_report

        write_text(plot, run_report(question.track, run, sentence))
    if as_json:
        typer.echo(json.dumps(dataclasses.asdict(answer), allow_nan=False))
        return
    typer.echo(sentence)
    for line in _lines(answer):
        typer.echo(line)
    if plot is not None:
        typer.echo(f"Drawn in {plot}.")


def _lines(answer: CoastAnswer) -> list[str]:
    lines = []
    if answer.finish_time_s is not None and answer.finish_speed_m_s is not None:
        lines.append(
            f"finish {answer.finish_time_s:9.4f} s at {answer.finish_speed_m_s:.3f} m/s,"
            f" numerical error {answer.time_error_s or 0.0:.1g} s"
        )
    for number, time_s in enumerate(answer.gate_times_s, start=1):
        lines.append(
            f"gate {number} " + (f"{time_s:9.4f} s" if time_s is not None else "  not reached")
        )
    start = answer.energy_mj["start"]
    lines.append(f"energy of the start {start:.1f} mJ")
    for name, energy in answer.energy_mj.items():
        if name != "start" and start > 0.0:
            lines.append(f"  {name.replace('_', ' '):14s} {energy:8.1f} mJ {energy / start:6.1%}")
    for margin in answer.margins:
        limit = f"{margin.limit_m_s:.2f} m/s" if margin.limit_m_s is not None else "no speed"
        kind = margin.kind.replace("_", " ")
        lines.append(f"at {margin.at_m:6.2f} m  {margin.speed_m_s:.2f} m/s, {kind} at {limit}")
    return lines
