"""`hillbench ballast`: which piece of ballast goes where."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from hillbench.usecases.plan_ballast import BallastAnswer

_REMEDIES = 8
"""Changes shown, the best."""


def ballast(
    file: Annotated[Path, typer.Argument(metavar="FILE.json", help="The car; - reads the pipe.")],
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
    plot: Annotated[
        Path | None, typer.Option("--plot", metavar="OUT.svg", help="Draw the plan as well.")
    ] = None,
    time_limit_s: Annotated[
        float | None,
        typer.Option("--time-limit", metavar="S", help="Stop the search after so many seconds."),
    ] = 60.0,
) -> None:
    """Plan which piece of ballast goes where in a car, and prove that no plan is better."""
    import dataclasses
    import json
    import time

    from hillbench.cli.text_files import read_text, write_text
    from hillbench.usecases.plan_ballast import (
        answer_of,
        check_time_limit,
        plan_ballast,
        read_ballast_question,
        tell_plan,
    )

    check_time_limit(time_limit_s)
    planned = plan_ballast(
        read_ballast_question(read_text(file)), now=time.monotonic, limit_s=time_limit_s
    )
    answer = answer_of(planned)
    if plot is not None:
        from hillbench.pictures.ballast_sheet import ballast_sheet

        write_text(plot, ballast_sheet(planned.task, planned.plan, tell_plan(planned)))
    if as_json:
        typer.echo(json.dumps(dataclasses.asdict(answer), allow_nan=False))
        return
    typer.echo(tell_plan(planned))
    for line in _lines(answer):
        typer.echo(line)
    if plot is not None:
        typer.echo(f"Drawn in {plot}.")


def _lines(answer: BallastAnswer) -> list[str]:
    lines = []
    if answer.why_not:
        lines.append(answer.why_not)
    lines += [
        f"     {one.gained_g:+6.2f} g  {one.text}"
        + (f", frees {one.freed_cm3:.1f} cm³" if one.freed_cm3 else "")
        + ("" if one.inside_window else ", outside the window")
        for one in answer.remedies[:_REMEDIES]
    ]
    lines += [
        f"{step.number:3d}  {step.text}  Scale: {step.scale_reads_g:.2f} g" for step in answer.steps
    ]
    lines.append(
        f"With every piece 0.5 mm off, the centre of gravity moves by {answer.sensitivity_mm:.2f}"
        " mm along the car."
    )
    for level in answer.levels:
        proof = "proven" if level.proven else f"open, no plan below {level.bound:g}"
        lines.append(f"  {level.aim:7s} {level.value:8g}  {proof}")
    if any(word in step.text for step in answer.steps for word in ("lead", "Lead")):
        lines.append(
            "Lead: wash your hands, keep it from food and children, do not sand or file it."
        )
    return lines
