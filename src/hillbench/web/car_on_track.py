"""A car on a track: the prediction, its sliders, and the runs timed beside it."""

from __future__ import annotations

import statistics
from dataclasses import dataclass
from datetime import timedelta
from typing import Annotated, Final

from fastapi import APIRouter, Depends, Request
from starlette.responses import Response

from hillbench import units
from hillbench.errors import InvalidInput
from hillbench.pictures.length_unit import LENGTH_UNITS, LengthUnit
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind, RunNote, TimedRun
from hillbench.records.run_store import list_runs
from hillbench.usecases.note_run import note_run
from hillbench.usecases.predict_run import predict_run
from hillbench.usecases.remove_thing import remove_thing
from hillbench.usecases.what_if import Tweak, WhatIf, what_if
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Units, pairs
from hillbench.web.car_inputs import inputs_of
from hillbench.web.car_on_track_pages import CarOnTrackPage, gains_of, passings_of
from hillbench.web.flash import Flash
from hillbench.web.preferences import Preferences
from hillbench.web.run_pictures import RunPictures
from hillbench.web.showing import Showing
from hillbench.web.typed import Answers, Typed
from hillbench.web.what_if_pages import (
    SLIDERS,
    Answer,
    WhatIfPage,
    address_with,
    sliders_of,
)

router = APIRouter()

_ONE_DAY: Final = timedelta(hours=18)
_LATEST_RUNS: Final = 30
_RUN_LABELS: Final = {"finish_time_s": "Finish time", "note": "How it went"}
_NEW_RUN: Final = Typed.holding("run", {"note": str(RunNote.CLEAN)})


@dataclass(frozen=True, slots=True)
class Tried:
    """What is tried, the unit its pictures are in, and what of it could not be read."""

    tweak: Tweak
    unit: LengthUnit
    problems: tuple[str, ...] = ()


def _tried(request: Request, preferences: Units) -> Tried:
    """Return what the address says is to be tried, units as typed."""
    labels = {name: label for name, (label, _, _) in SLIDERS.items()}
    asked = tuple(request.query_params.multi_items())
    answers = Answers("what-if", asked, preferences, labels)
    values = {
        name: answers.quantity(name, dimension, unit=unit, required=False)
        for name, (_, dimension, unit) in SLIDERS.items()
    }
    wrong = answers.refused(InvalidInput(answers.problems)).problems
    unit = LENGTH_UNITS[preferences.distance_unit]
    return Tried(Tweak(**values), unit, tuple(problem.sentence for problem in wrong))


Asked = Annotated[Tried, Depends(_tried)]
"""What the address says is to be tried."""


@router.get("/cars/{car_id}/on/{track_id}")
def show_car_on_track(
    request: Request,
    book: Book,
    preferences: Units,
    car_id: int,
    track_id: int,
    tried: Asked,
) -> Response:
    """Show what a run of the car on the track will take and where the time goes."""
    return show(request, _page(book, preferences, car_id, track_id, tried, _NEW_RUN))


@router.get("/cars/{car_id}/on/{track_id}/what-if")
def show_what_if(
    request: Request, book: Book, car_id: int, track_id: int, tried: Asked
) -> Response:
    """Answer the sliders; the address in the browser follows them."""
    _, answer = _answer(book, car_id, track_id, tried)
    response = show(request, WhatIfPage(answer))
    page_address = _address(car_id, track_id)
    response.headers["hx-replace-url"] = address_with(page_address, tried.tweak)
    return response


@router.post("/cars/{car_id}/on/{track_id}/runs")
def add_timed_run(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    car_id: int,
    track_id: int,
) -> Response:
    """Note a timed run."""
    answers = Answers("run", pairs(form), preferences, _RUN_LABELS)
    try:
        note = RunNote(answers.choice("note", [str(note) for note in RunNote]))
        finished = note in (RunNote.CLEAN, RunNote.SNAG)
        time_s = answers.quantity("finish_time_s", units.TIME, required=finished)
        answers.require()
        run = note_run(book, track_id, car_id, time_s, note, now)
    except InvalidInput as wrong:
        typed, unit = answers.refused(wrong), LENGTH_UNITS[preferences.distance_unit]
        return refuse(
            request, _page(book, preferences, car_id, track_id, Tried(Tweak(), unit), typed)
        )
    return done(request, f"{_address(car_id, track_id)}#runs", _noted(run))


@router.post("/cars/{car_id}/on/{track_id}/runs/{run_id}/remove")
def remove_timed_run(
    request: Request, book: Book, now: Now, car_id: int, track_id: int, run_id: int
) -> Response:
    """Take a timed run out of use; it can be brought back."""
    remove_thing(book, Kind.TIMED_RUN, run_id, now)
    flash = Flash("Run removed.", f"/undo/timed_run/{run_id}")
    return done(request, f"{_address(car_id, track_id)}#runs", flash)


def _noted(run: TimedRun) -> Flash:
    told = "no time" if run.finish_time_s is None else f"{run.finish_time_s:.3f} s"
    return Flash(f"Run noted: {told}, {run.note}.")


def _answer(book: BenchBook, car_id: int, track_id: int, tried: Tried) -> tuple[WhatIf, Answer]:
    """Return the answer to a try; for one that cannot be, the car as it is and why."""
    problems = tried.problems
    if not problems:
        try:
            result = what_if(book, car_id, track_id, tried.tweak)
        except InvalidInput as wrong:
            problems = tuple(problem.sentence() for problem in wrong.problems)
        else:
            return result, Answer.of(result, tried.tweak, tried.unit)
    result = what_if(book, car_id, track_id, Tweak())
    return result, Answer(True, " ".join(problems))


def _page(
    book: BenchBook,
    preferences: Preferences,
    car_id: int,
    track_id: int,
    tried: Tried,
    typed: Typed,
) -> CarOnTrackPage:
    prediction = predict_run(book, car_id, track_id)
    scene = prediction.scene
    result, answer = _answer(book, car_id, track_id, tried)
    with book.read() as session:
        runs = list_runs(session, track_id=track_id, car_id=car_id, limit=_LATEST_RUNS)
    inputs = inputs_of(scene.description, Showing(preferences))
    return CarOnTrackPage(
        car_id=car_id,
        car_name=scene.description.record.name,
        track_id=track_id,
        track_name=scene.track.name,
        prediction=prediction,
        pictures=RunPictures.of(scene.track.track, prediction.run, tried.unit),
        gains=gains_of(prediction.changes),
        passings=passings_of(scene.track.track, prediction.run),
        sliders=sliders_of(result, tried.tweak),
        answer=answer,
        page_address=_address(car_id, track_id),
        inputs=inputs,
        assumed=sum(1 for row in inputs if row.source == "assumed"),
        runs=runs,
        typical_s=_typical_s(runs),
        typed=typed,
    )


def _typical_s(runs: tuple[TimedRun, ...]) -> float | None:
    """Return the middle time of the last day run: earlier ones may be of a car since changed."""
    timed = [run for run in runs if run.finish_time_s is not None]
    times = [run.finish_time_s for run in timed if timed[0].at - run.at < _ONE_DAY]
    return statistics.median(time for time in times if time is not None) if times else None


def _address(car_id: int, track_id: int) -> str:
    return f"/cars/{car_id}/on/{track_id}"
