"""`hillbench decals`: a sheet of decals to print."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from hillbench.usecases.plan_decals import DecalPlan


def decals(
    file: Annotated[Path, typer.Argument(metavar="FILE.json", help="The items; - reads the pipe.")],
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="SHEET.pdf", help="Write the sheet; .svg writes SVG."),
    ] = None,
    cut: Annotated[
        Path | None,
        typer.Option("--cut", metavar="CUT.dxf", help="Write the cut lines; .svg writes SVG."),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Lay out decals, judge them on their panels and write a true-scale sheet."""
    import dataclasses
    import json

    from hillbench.cli.text_files import read_text
    from hillbench.usecases.decal_question import read_decal_question
    from hillbench.usecases.gather_art import art_beside
    from hillbench.usecases.plan_decals import plan_decals
    from hillbench.usecases.print_decals import check_endings, print_files
    from hillbench.usecases.tell_decals import decal_answer

    question = read_decal_question(read_text(file))
    check_endings(out, cut)
    folder = Path() if str(file) == "-" else file.parent
    plan = plan_decals(question, art_beside(folder, question))
    written = print_files(plan, out, cut)
    if as_json:
        typer.echo(json.dumps(dataclasses.asdict(decal_answer(plan)), allow_nan=False))
        return
    for line in _lines(plan):
        typer.echo(line)
    for path in written:
        typer.echo(f"Written to {path}. Print at 100 %, do not fit to page.")


def _lines(plan: DecalPlan) -> list[str]:
    from hillbench.usecases.tell_decals import decal_answer, tell_items, tell_sheets

    lines = [tell_sheets(plan), tell_items(plan)]
    for one in decal_answer(plan).items:
        where = f" on the {one.panel}" if one.panel else ""
        fits = "fits" if one.fits else "does not fit"
        lines.append(
            f"{one.name}{where}: {fits}, contrast {one.contrast_ratio:.1f} against the "
            f"{one.against}, ΔE {one.delta_e_2000:.0f}. {one.advice}"
        )
    lines += [f"{number:3d}  {step.title}" for number, step in enumerate(plan.steps, start=1)]
    return lines
