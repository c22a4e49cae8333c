"""The bench: work in hand, what would help most next, and how quickly each car would run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.coasting.result import Run
from hillbench.errors import InvalidInput
from hillbench.records.bench_book import BenchBook
from hillbench.records.build_entities import BuildState
from hillbench.usecases.build_shown import BuildSummary
from hillbench.usecases.describe_car import describe_readings
from hillbench.usecases.list_bench import CarAtBench, list_bench
from hillbench.usecases.list_tracks import TrackSummary, list_tracks
from hillbench.usecases.show_build import list_builds
from hillbench.web.answer import show
from hillbench.web.asking import Book, Number, Units
from hillbench.web.cars import last_tracks
from hillbench.web.next_steps import Step, first_steps, next_steps
from hillbench.web.page import Page
from hillbench.web.preferences import Preferences
from hillbench.web.quantities import BY_NAME, assumed_or_measured
from hillbench.web.showing import Showing
from hillbench.web.templating import count

router = APIRouter()

SHOWN_CARS: Final = 6
SHOWN_TRACKS: Final = 3


@dataclass(frozen=True, slots=True)
class Slip:
    """One car in hand.

    Attributes
    ----------
    line
        The car and what counts for it.
    assumed
        What is assumed for want of a reading, each with its value.
    """

    line: CarAtBench
    assumed: tuple[str, ...]


@dataclass(frozen=True)
class BenchPage(Page):
    """The work in hand.

    Attributes
    ----------
    sentence
        What is on the bench, in one sentence.
    builds
        Builds in hand, last changed first.
    slips
        The cars changed last.
    car_count
        Number of all cars in use.
    tracks
        The tracks changed last.
    track_names
        Names of the tracks the cars ran on last, by number.
    steps
        What to do next.
    first
        The way through the first hour; empty once it is behind.
    """

    template: ClassVar[str] = "bench/bench.html"
    place: ClassVar[str] = "bench"

    sentence: str
    builds: tuple[BuildSummary, ...]
    slips: tuple[Slip, ...]
    car_count: int
    tracks: tuple[TrackSummary, ...]
    track_names: Mapping[int, str]
    steps: tuple[Step, ...]
    first: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class PredictedTime:
    """What a run on one track will take; `run` is None where the readings do not fit."""

    track: TrackSummary
    run: Run | None


@dataclass(frozen=True)
class TimesPart(Page):
    """Links that run a car on the tracks, with the times they will take.

    Attributes
    ----------
    car_id
        Number of the car.
    times
        One for each track.
    """

    template: ClassVar[str] = "bench/times.html"

    car_id: int
    times: tuple[PredictedTime, ...]


@router.get("/")
def show_bench(request: Request, book: Book, preferences: Units) -> Response:
    """Show the bench."""
    cars = list_bench(book).cars
    tracks = list_tracks(book)
    page = BenchPage(
        sentence=_sentence(cars, tracks),
        builds=tuple(one for one in list_builds(book) if one.build.state is BuildState.IN_HAND),
        slips=tuple(Slip(line, _assumed(line, preferences)) for line in cars[:SHOWN_CARS]),
        car_count=len(cars),
        tracks=tracks[:SHOWN_TRACKS],
        track_names=last_tracks(book, cars[:SHOWN_CARS]),
        steps=next_steps(cars, tracks),
        first=first_steps(cars, tracks),
    )
    return show(request, page)


@router.get("/bench/{car_id}/times")
def show_times(request: Request, book: Book, car_id: Number) -> Response:
    """Show what a car will take on each track; asked for after the page is there."""
    tracks = list_tracks(book)[:SHOWN_TRACKS]
    times = tuple(PredictedTime(track, _predicted(book, car_id, track)) for track in tracks)
    return show(request, TimesPart(car_id, times))


def _predicted(book: BenchBook, car_id: int, track: TrackSummary) -> Run | None:
    from hillbench.usecases.predict_run import predict_time  # loads the model, slow at first

    try:
        return predict_time(book, car_id, track.record.id)
    except InvalidInput:  # told on the page of the car on the track
        return None


def _assumed(line: CarAtBench, preferences: Preferences) -> tuple[str, ...]:
    measured = {name: reading.value for name, reading in line.readings.items()}
    described = describe_readings(line.car, measured, None)
    show_in = Showing(preferences)
    missing = [BY_NAME[name] for name in line.missing if name in BY_NAME]
    return tuple(
        f"{quantity.short} {quantity.shown(assumed_or_measured(described, quantity.name), show_in)}"
        for quantity in missing
    )


def _sentence(cars: tuple[CarAtBench, ...], tracks: tuple[TrackSummary, ...]) -> str:
    if not cars:
        return "The bench is clear."
    runs = sum(line.run_count for line in cars)
    noted = f", {count(runs, 'timed run')}" if runs else ""
    return f"{count(len(cars), 'car')}, {count(len(tracks), 'track')}{noted}."
