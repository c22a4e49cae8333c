"""What would help most next, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Final

from hillbench.usecases.list_bench import CarAtBench
from hillbench.usecases.list_tracks import TrackSummary
from hillbench.web.quantities import BY_NAME

MOST_STEPS: Final = 4
_MOST_TELLING: Final = (
    "axle_diameter_mm",
    "wheel_diameter_mm",
    "bearing_friction",
    "cg_ahead_of_rear_axle_mm",
    "wheelbase_mm",
)
"""What moves the time most comes first; the table in the guide shows by how much."""

_MOST_NAMES: Final = 3


@dataclass(frozen=True, slots=True)
class Step:
    """Something to do.

    Attributes
    ----------
    action
        What to do, as a link.
    address
        Where it is done.
    reason
        Why, or how, in one sentence.
    done
        Whether it is done already; only in the first hour.
    """

    action: str
    address: str
    reason: str
    done: bool = False


def first_steps(cars: Sequence[CarAtBench], tracks: Sequence[TrackSummary]) -> tuple[Step, ...]:
    """Return the way through the first hour; empty once a car was weighed and a track is there."""
    weighed = any(line.weighing is not None for line in cars)
    if tracks and weighed:
        return ()
    car = cars[0].car if cars else None
    weigh = f"/cars/{car.id}#mass" if car else "/cars/new"
    return (
        Step(
            "Add a track",
            "/tracks/new",
            "Its length and drop and a typical shape are enough to begin.",
            bool(tracks),
        ),
        Step("Add a car", "/cars/new", "A name and its casting.", bool(cars)),
        Step(
            f"Weigh {car.name}" if car else "Weigh it",
            weigh,
            "Three readings of a scale, as they come.",
            weighed,
        ),
        Step(
            "Run it on the track",
            f"/cars/{car.id}#hill" if car else "/guide/first-hour",
            "See what it will take and where the time goes.",
        ),
    )


def next_steps(cars: Sequence[CarAtBench], tracks: Sequence[TrackSummary]) -> tuple[Step, ...]:
    """Return at most four things worth doing, the most useful first."""
    return tuple(islice(_steps(cars, tracks), MOST_STEPS))


def _steps(cars: Sequence[CarAtBench], tracks: Sequence[TrackSummary]) -> Iterator[Step]:
    if not tracks or not cars:
        return
    unweighed = [line for line in cars if line.weighing is None]
    if unweighed:
        others = len(unweighed) - 1
        more = f" {others} more wait for the scale." if others else ""
        yield Step(
            f"Weigh {unweighed[0].car.name}",
            f"/cars/{unweighed[0].car.id}#mass",
            f"A typical mass is assumed until then.{more}",
        )
    yield from islice(_to_measure(cars), 1)
    never_run = [line for line in cars if line.weighing is not None and not line.run_count]
    if never_run:
        yield Step(
            f"Time {never_run[0].car.name} on {tracks[0].record.name}",
            f"/cars/{never_run[0].car.id}#hill",
            "One timed run tells whether the assumed losses are near.",
        )
    coarse = [line for line in cars if line.weighing and line.weighing.scale_resolution_g > 0.05]
    if coarse:
        yield Step(
            f"Weigh {coarse[0].car.name} on a finer scale",
            f"/cars/{coarse[0].car.id}#mass",
            "Its scale shows tenths of a gram or coarser, which more readings do not mend.",
        )


def _to_measure(cars: Sequence[CarAtBench]) -> Iterator[Step]:
    for line in cars:
        names = [BY_NAME[name].short for name in _MOST_TELLING if name in line.missing]
        if line.weighing is not None and names:
            yield Step(
                f"Measure the {names[0]} of {line.car.name}",
                f"/cars/{line.car.id}#measures",
                "It is assumed so far"
                + (f", and so are: {', '.join(names[1 : 1 + _MOST_NAMES])}." if names[1:] else "."),
            )
