"""`hillbench compare`: which car is faster, from a table of times."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from hillbench.usecases.compare_file import CompareAnswer

_MOST_PAIRS_TOLD = 12


def compare(
    file: Annotated[Path, typer.Argument(metavar="FILE.csv", help="The runs; - reads the pipe.")],
    matters: Annotated[
        float | None,
        typer.Option("--matters", metavar="SECONDS", help="Gap below which nobody cares."),
    ] = None,
    before: Annotated[
        str | None, typer.Option("--before", metavar="CAR", help="The car without the change.")
    ] = None,
    after: Annotated[
        str | None, typer.Option("--after", metavar="CAR", help="The car with the change.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
    plot: Annotated[
        Path | None, typer.Option("--plot", metavar="OUT.svg", help="Draw the runs as well.")
    ] = None,
) -> int:
    """Say which car is faster, how sure that is, and how many more runs would settle it.

    Columns car and time_s, and if you like lane, outing, order and note; one row a run, in the
    order run. Rows that cannot be used are told on standard error, and the status is then 2.
    """
    import dataclasses
    import json

    from hillbench.cli.gain import gain
    from hillbench.cli.table_rows import status_of
    from hillbench.cli.text_files import read_bytes, write_text
    from hillbench.errors import InvalidInput, Problem
    from hillbench.usecases.compare_file import answer_of, compare_runs, read_table

    if before is not None and after is not None:
        return gain(file, before, after, matters, as_json=as_json, plot=plot)
    if before is not None or after is not None:
        seen = "given without " + ("--after" if after is None else "--before")
        name = "--before" if after is None else "--after"
        raise InvalidInput([Problem(name, seen, "both of them", "name both cars")])
    reading = read_table(read_bytes(file))
    comparison = compare_runs(reading, matters)
    answer = answer_of(comparison, reading)
    if plot is not None:
        from hillbench.pictures.timing import comparison_of_times

        picture = comparison_of_times(comparison, reading.runs, answer.sentence, standalone=True)
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


def _lines(answer: CompareAnswer) -> list[str]:
    from hillbench.usecases.tell_comparison import percent, signed

    width = max(len(car.car) for car in answer.cars)
    lines = []
    for car in answer.cars:
        if car.typical_time_s is None or car.best_time_s is None:
            lines.append(f"{car.car:{width}s}  no time yet, {car.unfinished} without a finish")
            continue
        spread = "" if car.repeatability_s is None else f", repeats to {car.repeatability_s:.3f} s"
        unfinished = f", {car.unfinished} without a finish" if car.unfinished else ""
        lines.append(
            f"{car.car:{width}s}  typically {car.typical_time_s:.3f} s, best {car.best_time_s:.3f}"
            f" s, {car.runs} runs{unfinished}{spread},"
            f" fastest {percent(car.probability_fastest or 0.0)}"
        )
    lines += [
        f"{pair.second} less {pair.first}: {signed(pair.gap_s)} s"
        f" ({signed(pair.gap_low_s)} to {signed(pair.gap_high_s)} s, 90 %);"
        f" {pair.first} faster {percent(pair.probability_first_faster)}; {pair.verdict}"
        for pair in answer.pairs[:_MOST_PAIRS_TOLD]
    ]
    lines += [f"row {run.row}, {run.car} {run.time_s:.3f} s: {run.why}" for run in answer.odd_runs]
    lines.append(
        f"one run spreads by {answer.spread_s:.3f} s (prior: {answer.spread_prior});"
        f" two runs of one car differ by more than {answer.repeatability_limit_s:.3f} s"
        " only once in twenty"
    )
    return lines
