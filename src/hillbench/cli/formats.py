"""`hillbench formats`: what each way to run a meet would tell."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from hillbench.usecases.study_formats import FormatsAnswer, Studied


Cars = Annotated[int, typer.Option("--cars", help="Number of cars, 2 to 200.")]
Lanes = Annotated[int, typer.Option("--lanes", help="Number of lanes, 1 to 8.")]
CarSpread = Annotated[float, typer.Option("--car-sd", help="Spread of the cars, s.")]
RunSpread = Annotated[float, typer.Option("--run-sd", help="Spread of a car's clean runs, s.")]
LaneSpread = Annotated[float, typer.Option("--lane-sd", help="Spread of the lanes, s.")]
HeatSpread = Annotated[float, typer.Option("--heat-sd", help="Spread of the heats, s.")]
BadRate = Annotated[float, typer.Option("--bad", help="Share of runs with a snag.")]
NoFinishRate = Annotated[float, typer.Option("--no-finish", help="Share of runs without a finish.")]
HeatMinutes = Annotated[
    float, typer.Option("--heat-minutes", help="Minutes from one start to the next.")
]
MeetCount = Annotated[int | None, typer.Option("--meets", help="Invented meets for each format.")]
SeasonMeets = Annotated[
    int, typer.Option("--season-meets", help="Meets of a season; from 2 on it is judged.")
]
Processes = Annotated[int, typer.Option("--processes", help="Processes that share a large study.")]
Cluster = Annotated[
    str | None,
    typer.Option("--cluster", metavar="ADDRESS", help="Dask scheduler that does the work."),
]
Seed = Annotated[int, typer.Option("--seed", min=0, help="Seed of the invented meets.")]
Plot = Annotated[
    Path | None, typer.Option("--plot", metavar="OUT.svg", help="Draw the formats as well.")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object.")]


def formats(
    cars: Cars = 16,
    lanes: Lanes = 4,
    car_sd_s: CarSpread = 0.10,
    run_sd_s: RunSpread = 0.05,
    lane_sd_s: LaneSpread = 0.03,
    heat_sd_s: HeatSpread = 0.02,
    bad_rate: BadRate = 0.05,
    no_finish_rate: NoFinishRate = 0.01,
    heat_minutes: HeatMinutes = 2.0,
    meets: MeetCount = None,
    season_meets: SeasonMeets = 1,
    processes: Processes = 1,
    cluster: Cluster = None,
    seed: Seed = 64,
    plot: Plot = None,
    as_json: AsJson = False,
) -> None:
    """Say how often the fastest car would win with each format, and what it takes."""
    from hillbench.racing.field import Field
    from hillbench.usecases.study_formats import compare_formats

    field = Field(
        cars=cars,
        lanes=lanes,
        car_sd_s=car_sd_s,
        lane_sd_s=lane_sd_s,
        heat_sd_s=heat_sd_s,
        run_sd_s=run_sd_s,
        bad_rate=bad_rate,
        no_finish_rate=no_finish_rate,
        heat_minutes=heat_minutes,
    )
    with _bar(shown=not as_json) as progress:
        studied = compare_formats(
            field,
            seed,
            meets,
            progress,
            season_meets=season_meets,
            processes=processes,
            cluster=cluster,
        )
    _print(studied, plot, as_json=as_json)


def _print(studied: Studied, plot: Path | None, *, as_json: bool) -> None:
    import dataclasses
    import json

    from hillbench.cli.text_files import write_text
    from hillbench.usecases.study_formats import formats_sheet

    if plot is not None:
        write_text(plot, formats_sheet(studied))
    if as_json:
        typer.echo(json.dumps(dataclasses.asdict(studied.answer), allow_nan=False))
        return
    for line in _lines(studied.answer):
        typer.echo(line)
    if plot is not None:
        typer.echo(f"Drawn in {plot}.")


def _bar(*, shown: bool) -> AbstractContextManager[Callable[[int, int], None] | None]:
    """Return a progress bar on a terminal's standard error, and nothing elsewhere."""
    import sys

    if not shown or not sys.stderr.isatty():
        return nullcontext()
    return _RichBar()


class _RichBar:
    """A bar that a use case can move on."""

    def __enter__(self) -> Callable[[int, int], None]:
        from rich.console import Console
        from rich.progress import Progress

        self._progress = Progress(console=Console(stderr=True), transient=True)
        self._progress.start()
        task = self._progress.add_task("formats", total=None)
        return lambda done, total: self._progress.update(task, completed=done, total=total)

    def __exit__(self, *_: object) -> None:
        self._progress.stop()


def _lines(answer: FormatsAnswer) -> list[str]:
    head = f"{'format':40s} fastest wins  rank error  car runs  heats  minutes"
    lines = [answer.sentence, head]
    for one in answer.formats:
        timer = "" if one.needs_timer else "  no timer needed"
        lines.append(
            f"{one.name:40s} {100 * one.fastest_wins:8.0f} % ± {100 * one.fastest_wins_error:1.0f}"
            f" {one.mean_rank_error:10.2f} {one.car_runs:9.0f} {one.heats:6.0f}"
            f" {one.minutes:8.0f}{timer}"
        )
    return lines
