"""`hillbench results`: who won a meet, and how sure it is that the fastest car did."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from hillbench.usecases.results_file import ResultsAnswer


def results(
    file: Annotated[Path, typer.Argument(metavar="FILE.csv", help="The runs; - reads the pipe.")],
    score: Annotated[
        str, typer.Option("--score", help="sum, mean, drop worst, best or points.")
    ] = "sum",
    drop: Annotated[int, typer.Option("--drop", help="Runs dropped by 'drop worst'.")] = 1,
    points: Annotated[
        str, typer.Option("--points", help="Points for places in a heat, from the first.")
    ] = "4,3,2,1",
    ties: Annotated[
        str, typer.Option("--ties", help="What splits equal scores, in this order.")
    ] = "best time,second best time",
    plot: Annotated[
        Path | None, typer.Option("--plot", metavar="OUT.svg", help="Draw the cars as well.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Rank the cars of a meet by a club's rule and by what their times say.

    Columns heat, lane, car and time_s, and if you like note and void; one row a run. A run
    without a time had no finish; a row with anything in void does not count. An exported meet
    can be read as it is.
    """
    import dataclasses
    import json

    from hillbench.cli.text_files import read_bytes, write_text
    from hillbench.usecases.results_file import (
        gaps_of,
        rank_meet,
        read_meet_table,
        rule_from_words,
    )

    kinds = [word.strip() for word in ties.split(",") if word.strip()]
    rule = rule_from_words(score, kinds, drop, _numbers(points))
    answer = rank_meet(read_meet_table(read_bytes(file)), rule)
    if plot is not None:
        from hillbench.pictures.meet import gaps_picture

        write_text(plot, gaps_picture(gaps_of(answer), answer.sentence, standalone=True))
    if as_json:
        typer.echo(json.dumps(dataclasses.asdict(answer), allow_nan=False))
        return
    for line in _lines(answer):
        typer.echo(line)
    if plot is not None:
        typer.echo(f"Drawn in {plot}.")


def _numbers(text: str) -> list[float]:
    from hillbench.errors import InvalidInput, Problem

    try:
        return [float(word) for word in text.split(",")]
    except ValueError:
        allowed = "numbers parted by commas, as 4,3,2,1"
        raise InvalidInput([Problem("--points", repr(text), allowed)]) from None


def _lines(answer: ResultsAnswer) -> list[str]:
    from hillbench.usecases.tell_results import told_chance

    width = max(3, *(len(one.car) for one in answer.cars))
    unit = "" if answer.rule == "points" else " s"
    lines = [
        answer.sentence,
        f"place  {'car':{width}s}  {answer.rule:>11s}    typical  fastest car",
    ]
    for one in answer.cars:
        score = f"{one.missing} missing" if one.score is None else f"{one.score:.3f}{unit}"
        typical = "none" if one.typical_time_s is None else f"{one.typical_time_s:.3f} s"
        split = f"  (by {one.split_by})" if one.split_by else ""
        lines.append(
            f"{one.place:5d}  {one.car:{width}s}  {score:>11s}  {typical:>9s}"
            f"  {told_chance(one.fastest_probability)}{split}"
        )
    for lane in answer.lanes:
        word = "slow" if lane.slower_s > 0.0 else "fast"
        told = f"{abs(lane.slower_s):.3f} s {word}" if lane.differs else "fair"
        reach = f"{lane.low_s:+.3f} to {lane.high_s:+.3f} s".replace("-", "−")
        lines.append(f"lane {lane.lane} is {told} ({reach}, 90 %)")
    lines.append(f"one run spreads by {answer.run_sd_s:.3f} s")
    lines += [
        f"row {odd.row}, {odd.car} in heat {odd.heat}: {odd.time_s:.3f} s stands out"
        for odd in answer.odd_runs
    ]
    return lines
