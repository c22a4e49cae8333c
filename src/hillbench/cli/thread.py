"""`hillbench thread`: what a screw in a post holds, and how to make its hole."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from hillbench.usecases.thread_answer import ThreadAnswer


def _length(help_text: str) -> typer.models.OptionInfo:
    option: typer.models.OptionInfo = typer.Option(metavar="L", help=help_text)
    return option


def thread(
    designation: Annotated[str, typer.Argument(help="The thread: 2-56, 4-40, M2x0.4.")],
    drill: Annotated[
        str | None, typer.Option(metavar="SIZE", help="5/64, #50, C, 1.75mm or 0.070in.")
    ] = None,
    method: Annotated[str, typer.Option(help="tapped, or formed by the screw itself.")] = "tapped",
    post_material: Annotated[str, typer.Option(help="What the post is made of.")] = "zinc",
    screw_material: Annotated[str, typer.Option(help="What the screw is made of.")] = "stainless",
    friction: Annotated[str, typer.Option(help="dry or oiled.")] = "dry",
    head: Annotated[str, typer.Option(help="pan, socket cap or countersunk.")] = "pan",
    tap: Annotated[str, typer.Option(help="taper, plug or bottoming.")] = "plug",
    percent: Annotated[float, typer.Option(help="Percent of thread wanted.")] = 65.0,
    safety_factor: Annotated[float, typer.Option(help="What each limit is divided by.")] = 2.0,
    engagement_mm: Annotated[str | None, _length("Length of engagement.")] = None,
    screw_length_mm: Annotated[str | None, _length("Screw under its head.")] = None,
    base_thickness_mm: Annotated[str | None, _length("Base and washer.")] = None,
    post_height_mm: Annotated[str | None, _length("Metal of the post along the screw.")] = None,
    post_diameter_mm: Annotated[str | None, _length("Outer diameter of the post.")] = None,
    gap_mm: Annotated[str | None, _length("How far the post ends short of the base.")] = None,
    base_span_mm: Annotated[str | None, _length("Span of the base that may bow.")] = None,
    base_width_mm: Annotated[str | None, _length("Its width; half the span by default.")] = None,
    rivet_head_diameter_mm: Annotated[str | None, _length("Head of the rivet to remove.")] = None,
    rivet_head_height_mm: Annotated[str | None, _length("Height of that head.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
    plot: Annotated[
        Path | None, typer.Option("--plot", metavar="OUT.svg", help="Draw it to scale as well.")
    ] = None,
) -> None:
    """Compute what a screw in a post holds, and how to drill and tap for it."""
    # The options are named as the fields of the question.
    given = {name: value for name, value in locals().items() if name not in ("as_json", "plot")}
    import dataclasses
    import json

    from hillbench.cli.text_files import write_text
    from hillbench.fastening.options import rate
    from hillbench.usecases.choose_thread import answer_thread, draw_thread
    from hillbench.usecases.tell_thread import tell_thread
    from hillbench.usecases.thread_question import ThreadQuestion, read_thread_question

    case = read_thread_question(ThreadQuestion(**given))
    answer = answer_thread(case)
    sentence = tell_thread(case, rate(case.option, case.setting))
    if plot is not None:
        write_text(plot, draw_thread(case, sentence))
    if as_json:
        typer.echo(json.dumps(dataclasses.asdict(answer), allow_nan=False))
        return
    typer.echo(sentence)
    for line in _lines(answer):
        typer.echo(line)
    if plot is not None:
        typer.echo(f"Drawn in {plot}.")


def _lines(answer: ThreadAnswer) -> list[str]:
    strip, clamp = answer.strip_force_n, answer.clamp_force_n
    lines = [
        f"thread     {answer.designation} {answer.series}, major {_both(answer.major_mm)},"
        f" pitch {answer.pitch_mm:.3f} mm",
        f"           pitch diameter {_both(answer.pitch_diameter_mm)},"
        f" minor {_both(answer.minor_mm)}, stress area {answer.stress_area_mm2:.2f} mm²",
        f"drill      {answer.drill}, {_both(answer.drill_mm)}, through the base"
        f" {answer.clearance_drill}",
        f"           a tap leaves {answer.thread_percent:.0f} % of a full thread, forming raises"
        f" {answer.formed_percent:.0f} %",
        f"for {answer.wanted_percent:3.0f} %  {answer.wanted_drill}",
        f"holds      post {strip.post:.0f} N, screw {strip.screw:.0f} N to strip;"
        f" screw yields at {answer.screw_yield_force_n:.0f} N",
        f"torque     {answer.safe_torque_n_mm:.0f} N mm, clamping {clamp.least:.0f} to"
        f" {clamp.most:.0f} N; the screw twists off near {answer.breaking_torque_n_mm:.0f} N mm",
    ]
    if answer.wall_force_n is not None:
        lines.append(
            f"wall       {answer.wall_mm:.2f} mm round the thread; yields at"
            f" {answer.wall_force_n:.0f} N"
        )
    depths = answer.depths
    if depths is not None:
        lines.append(
            f"depth      drill {depths.drill_mm:.1f} mm, thread {depths.tap_mm:.1f} mm, screw"
            f" reaches {depths.screw_mm:.1f} mm; {depths.left_mm:.1f} mm left below the tip"
        )
    rivet = answer.rivet
    if rivet is not None:
        lines.append(
            f"rivet      pilot {rivet.pilot} ({rivet.pilot_mm:.2f} mm), then {rivet.drill}"
            f" ({rivet.drill_mm:.2f} mm) at most {rivet.depth_mm:.1f} mm deep"
        )
    lines.append("side by side (what strips the post; how it drives; how often it can be undone)")
    lines += [
        f"  {option.designation:8s} {option.drill:8s} {option.method:7s}"
        f" {option.made_percent:4.0f} % {option.strip_force_n.post:6.0f} N  {option.drive};"
        f" {option.reopening}"
        for option in answer.options
    ]
    lines += [answer.comparison, answer.advice]
    return lines


def _both(length_mm: float) -> str:
    return f"{length_mm:.3f} mm ({length_mm / 25.4:.4f} in)"
