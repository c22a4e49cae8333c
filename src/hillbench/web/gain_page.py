"""Did a change help: outings of a car before it, and after."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar, Final

import numpy as np
from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput
from hillbench.pictures.timing import gain_of_change
from hillbench.records.bench_book import BenchBook
from hillbench.records.car_store import find_car
from hillbench.records.track_store import find_track
from hillbench.timing.run import TimedRun
from hillbench.usecases.judge_gain import JudgedGain, judge_gain
from hillbench.usecases.show_timing import OutingPoint, show_timing_of_car, typical_interval_s
from hillbench.web.answer import show
from hillbench.web.asking import Book, Number
from hillbench.web.clock_words import told_conditions, unbroken
from hillbench.web.outings_shown import OutingRow
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured, pictured

router = APIRouter()

_SEED: Final = 64
_MOST_OUTINGS: Final = 30
_PREFIX: Final = "outing_"


@dataclass(frozen=True)
class GainPage(Page):
    """Whether a change to a car paid.

    Attributes
    ----------
    car_id, car_name, track_id, track_name
        The car and the track.
    sentence
        The answer, or what to choose.
    rests_on
        How before and after were run, in words; empty before there is an answer.
    picture
        The runs before and after, and the gain; None before there is an answer.
    rows
        Outings of the car there, latest first.
    chosen
        ``before`` or ``after``, by number of the outing.
    """

    template: ClassVar[str] = "timing/gain.html"
    place: ClassVar[str] = "cars"

    car_id: int
    car_name: str
    track_id: int
    track_name: str
    sentence: str
    rests_on: str
    picture: Pictured | None
    rows: tuple[OutingRow, ...]
    chosen: dict[int, str]


@router.get("/cars/{car_id}/on/{track_id}/gain")
def show_gain(request: Request, book: Book, car_id: Number, track_id: Number) -> Response:
    """Show what a change gained, by the outings chosen in the address."""
    with book.read() as session:
        car, track = find_car(session, car_id), find_track(session, track_id)
    points = [
        point
        for timing in show_timing_of_car(book, car_id)
        if timing.track_id == track_id
        for point in timing.points
        if point.outing is not None
    ][-_MOST_OUTINGS:]
    chosen = _chosen(request, points)
    judged, sentence = _judged(book, car_id, track_id, chosen)
    page = GainPage(
        car_id=car_id,
        car_name=car.name,
        track_id=track_id,
        track_name=track.name,
        sentence=unbroken(sentence),
        rests_on=_rests_on(judged) if judged else "",
        picture=_picture(judged, sentence) if judged else None,
        rows=tuple(
            OutingRow(point, told_conditions(point.outing.conditions) if point.outing else ())
            for point in reversed(points)
        ),
        chosen=chosen,
    )
    return show(request, page)


def _chosen(request: Request, points: list[OutingPoint]) -> dict[int, str]:
    """Return which outings are before and which after; the last two where nobody said."""
    known = [point.outing.id for point in points if point.outing is not None]
    asked = {
        int(name.removeprefix(_PREFIX)): value
        for name, value in request.query_params.items()
        if name.startswith(_PREFIX) and name.removeprefix(_PREFIX).isdecimal()
    }
    if not asked and len(known) >= 2:
        return {known[-2]: "before", known[-1]: "after"}
    return {number: part for number, part in asked.items() if number in known}


def _judged(
    book: BenchBook, car_id: int, track_id: int, chosen: dict[int, str]
) -> tuple[JudgedGain | None, str]:
    before = [number for number, part in chosen.items() if part == "before"]
    after = [number for number, part in chosen.items() if part == "after"]
    if not before or not after:
        return None, "Choose an outing before the change and one after it."
    try:
        judged = judge_gain(
            book,
            car_id,
            track_id,
            np.random.default_rng((_SEED, car_id, track_id)),
            before_outing_ids=before,
            after_outing_ids=after,
        )
    except InvalidInput as wrong:
        return None, " ".join(problem.sentence() for problem in wrong.problems)
    return judged, judged.sentence


def _rests_on(judged: JudgedGain) -> str:
    gain = judged.gain
    control = f", {gain.runs_control} of other cars beside them" if gain.runs_control else ""
    return unbroken(
        f"{gain.runs_before} runs before, {gain.runs_after} after{control}. One run varies by"
        f" about {gain.spread_s:.3f} s (from these runs and {gain.spread_source})."
        " “It works” asks for 97.5 %."
    )


def _picture(judged: JudgedGain, sentence: str) -> Pictured:
    runs = [
        TimedRun(name, time_s)
        for name, times in (("before", judged.before_s), ("after", judged.after_s))
        for time_s in times
    ]
    bars = {
        name: typical_interval_s(times, judged.gain.spread_s)
        for name, times in (("before", judged.before_s), ("after", judged.after_s))
    }
    # Places of odd runs count those of other cars too, which are not drawn here.
    gain = replace(judged.gain, odd_runs=())
    return pictured(
        lambda width, key: gain_of_change(
            gain,
            runs,
            ("before", "after"),
            sentence,
            typical_s=bars,
            width_px=width,
            key=key,
        ),
        "gain",
    )
